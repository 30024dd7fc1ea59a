// What a rider hears and feels, on request: each push of the lever as a knock, a sliding tyre as a hiss.

export class Sound {
  private context: AudioContext | undefined;
  private hiss: GainNode | undefined;
  private pushed = false;

  /** Turns it on or off; gives which. */
  toggle(): boolean {
    if (this.context) {
      void this.context.close();
      this.context = undefined;
      return false;
    }
    this.context = new AudioContext();
    this.hiss = this.context.createGain();
    this.hiss.gain.value = 0;
    const noise = this.context.createBuffer(1, this.context.sampleRate, this.context.sampleRate);
    const samples = noise.getChannelData(0);
    for (let i = 0; i < samples.length; i++) samples[i] = Math.random() * 2 - 1;
    const source = new AudioBufferSourceNode(this.context, { buffer: noise, loop: true });
    source.connect(new BiquadFilterNode(this.context, { type: "bandpass", frequency: 1400, Q: 0.6 })).connect(this.hiss).connect(this.context.destination);
    source.start();
    return true;
  }

  /** Lets be heard how far the lever is pushed back and how loud a tyre slides, each 0 to 1. */
  hear(pulse: number, skid: number): void {
    if (!this.context) return;
    const now = this.context.currentTime;
    this.hiss!.gain.setTargetAtTime(skid * 0.25, now, 0.03);
    const pushes = pulse > 0.25;
    if (pushes && !this.pushed) this.knock(pulse, now);
    this.pushed = pushes;
  }

  private knock(force: number, now: number): void {
    const tone = new OscillatorNode(this.context!, { frequency: 70 });
    const gain = new GainNode(this.context!, { gain: 0.5 * force });
    gain.gain.exponentialRampToValueAtTime(0.001, now + 0.06);
    tone.connect(gain).connect(this.context!.destination);
    tone.start(now);
    tone.stop(now + 0.07);
  }
}
