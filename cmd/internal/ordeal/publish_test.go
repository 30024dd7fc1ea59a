//go:build unix

package ordeal_test

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var (
	kills = flag.Int("kills", 8, "how many builds to kill")
	rooms = flag.Int("rooms", 4, "how many amounts of room a disk has left")
	seed  = flag.Uint64("seed", 1, "draws moments and texts")
)

// edition is a site that differs from its other editions in some pages and not in others.
func edition(n int) files {
	f := plain().with(files{"site.yaml": "title: Ferndale\nlanguages: [en]\nlessons: [stop, slip, a, b, c, d]\n"})
	for i, name := range []string{"a", "b", "c", "d"} {
		f["en/"+name+".md"] = fmt.Sprintf("---\ntitle: Lesson %d\n---\n\n%s\n", i, strings.Repeat(fmt.Sprintf("Edition %d.\n\n", n/(1+i%2)), 200))
	}
	f["en/own-"+fmt.Sprint(n)+".md"] = "---\ntitle: Only here\n---\n\nText.\n"
	f["site.yaml"] = strings.Replace(f["site.yaml"], "d]", fmt.Sprintf("d, own-%d]", n), 1)
	return f
}

const editions = 3

// whole are the editions as sites, built once and without a disturbance.
var whole []map[string]string

func builds(t *testing.T) []map[string]string {
	t.Helper()
	for n := len(whole); n < editions; n++ {
		folder, _ := edition(n).site(t)
		mustRun(t, folder, "build", "site", "--out", "built")
		whole = append(whole, state(t, filepath.Join(folder, "built")))
	}
	return whole
}

// rewrite makes the site another edition.
func rewrite(t *testing.T, site string, n int) {
	t.Helper()
	if err := os.RemoveAll(site); err != nil {
		t.Fatal(err)
	}
	edition(n).write(t, site)
}

// same reports whether the folder holds the whole site and nothing else.
func same(t *testing.T, built string, site map[string]string) bool {
	return maps.Equal(state(t, built), site)
}

// A build that is killed at any moment leaves the old site or the new one, whole, and the next build makes the new one
// of whatever it has left, in the folder and in the cache. Some builds begin without what earlier ones have kept, so that
// they are killed while they write that.
func TestKilled(t *testing.T) {
	sites := builds(t)
	folder, site := edition(0).site(t)
	built, kept := filepath.Join(folder, "built"), t.TempDir()
	copyCache(t, kept)
	build := func() *exec.Cmd {
		cmd := command(t, folder, "build", "site", "--out", "built")
		cmd.Env = append(cmd.Env, "XDG_CACHE_HOME="+filepath.Join(kept, "cache"))
		return cmd
	}
	finish := func() time.Duration {
		o := wait(t, build())
		if o.code != 0 {
			t.Fatalf("exit code %d: %s", o.code, o.err)
		}
		return o.took
	}
	finish()
	rewrite(t, site, 1)
	window := finish() // in which the moments are drawn; kept a little longer than a build
	random := rand.New(rand.NewPCG(*seed, 0))
	now, killed, tried, late, forgetful := 1, 0, 0, 0, 0
	for killed < *kills {
		if tried++; tried > 20+4**kills {
			t.Fatalf("only %d of %d builds were killed", killed, tried)
		}
		next := (now + 1 + random.IntN(editions-1)) % editions
		rewrite(t, site, next)
		forgets := random.IntN(4) == 0
		if forgets {
			forget(t, filepath.Join(kept, "cache/gripleaf"))
		}
		cmd := build()
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		moment := time.Duration(random.Int64N(int64(window)))
		timer := time.AfterFunc(moment, func() { cmd.Process.Kill() })
		_ = cmd.Wait()
		timer.Stop()
		signaled := cmd.ProcessState.Sys().(syscall.WaitStatus).Signaled()
		if signaled {
			killed, window = killed+1, window*21/20
		} else if !forgets {
			window = window * 9 / 10
		}
		switch {
		case same(t, built, sites[next]):
			if signaled {
				late++
			}
		case !same(t, built, sites[now]):
			t.Fatalf("killed after %v: a mix of editions\n%s\n%s", moment, cmp.Diff(sites[now], state(t, built)), cmp.Diff(sites[next], state(t, built)))
		}
		if signaled && forgets {
			forgetful++
		}
		if random.IntN(2) == 0 { // else the next run begins on what the kill has left
			finish()
			if !same(t, built, sites[next]) {
				t.Fatalf("the build after a kill after %v: %s", moment, cmp.Diff(sites[next], state(t, built)))
			}
		}
		if same(t, built, sites[next]) {
			now = next
		}
	}
	t.Logf("%d builds killed, %d of them with little in the cache, %d when the new site was already there; %d ended before their moment", killed, forgetful, late, tried-killed)
	finish()
}

// forget removes all from a cache but what has been compiled, which takes too long to be made each time.
func forget(t *testing.T, folder string) {
	t.Helper()
	for _, kind := range must(os.ReadDir(folder)) {
		if kind.Name() != "module" && kind.Name() != "machine" && kind.Name() != "weight" {
			if err := os.RemoveAll(filepath.Join(folder, kind.Name())); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// disk mounts a small file system of its own, or gives false where this user may not. Its size can be changed.
func disk(t *testing.T, size string) (folder string, resize func(size string), ok bool) {
	t.Helper()
	folder = t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size="+size, "tmpfs", folder).CombinedOutput(); err != nil {
		t.Logf("no file system of its own (%v: %s); a limit on the size of files stands for it", err, out)
		return "", nil, false
	}
	t.Cleanup(func() { exec.Command("umount", folder).Run() })
	return folder, func(size string) {
		if out, err := exec.Command("mount", "-o", "remount,size="+size, folder).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}, true
}

// limited runs the command with a limit on the size of files, in blocks of 1024 bytes.
func limited(t *testing.T, blocks int, folder string, arguments ...string) outcome {
	t.Helper()
	cmd := command(t, folder, arguments...)
	cmd.Args = append([]string{"sh", "-c", fmt.Sprintf("trap '' XFSZ; ulimit -f %d; exec \"$0\" \"$@\"", blocks), cmd.Path}, arguments...)
	cmd.Path = "/bin/sh"
	return wait(t, cmd)
}

// A build on a full disk says so and leaves the old site; with room, the next build works.
func TestDiskFull(t *testing.T) {
	sites := builds(t)
	t.Run("disk", func(t *testing.T) {
		mounted, resize, ok := disk(t, "256m")
		if !ok {
			return
		}
		_, site := edition(0).site(t)
		built := filepath.Join(mounted, "built")
		mustRun(t, mounted, "build", site, "--out", "built")
		copyCache(t, mounted)
		now, full := 0, 0
		for i := range *rooms {
			next := 1 - now
			rewrite(t, site, next)
			var used syscall.Statfs_t
			if err := syscall.Statfs(mounted, &used); err != nil {
				t.Fatal(err)
			}
			taken := (used.Blocks - used.Bfree) * uint64(used.Bsize) / 1024
			more := i * 240 / *rooms // kilobytes; a new edition needs about 160
			resize(fmt.Sprintf("%dk", taken+uint64(more)))
			cmd := command(t, mounted, "build", site, "--out", "built")
			if i%2 == 1 { // what it would keep is on the disk, too
				cmd.Env = append(cmd.Env, "XDG_CACHE_HOME="+filepath.Join(mounted, "cache"))
			}
			switch o := wait(t, cmd); {
			case o.code == 0 && more > 0:
				now = next
			case o.code == 1 && strings.Contains(o.err, "no space left on device"):
				full++
			default:
				t.Errorf("with %d KB left: exit code %d: %s", more, o.code, o.err)
			}
			if !same(t, built, sites[now]) {
				t.Errorf("with %d KB left the site is not whole", more)
			}
			resize("256m")
		}
		t.Logf("%d builds on a disk with 0 to 240 KB left, %d without enough", *rooms, full)
		if full < *rooms/4 {
			t.Error("the disk was hardly ever full")
		}
		rewrite(t, site, 1)
		mustRun(t, mounted, "build", site, "--out", "built")
		if !same(t, built, sites[1]) {
			t.Error("with room the new site is not whole")
		}
	})
	t.Run("limit", func(t *testing.T) {
		folder, site := edition(0).site(t)
		built := filepath.Join(folder, "built")
		mustRun(t, folder, "build", "site", "--out", "built")
		rewrite(t, site, 1)
		for _, blocks := range []int{0, 1, 8, 64} {
			if o := limited(t, blocks, folder, "build", "site", "--out", "built"); o.code != 1 || !strings.Contains(o.err, "file too large") {
				t.Errorf("%d blocks: exit code %d: %s", blocks, o.code, o.err)
			}
			if !same(t, built, sites[0]) {
				t.Errorf("with %d blocks the old site is no longer whole", blocks)
			}
		}
		mustRun(t, folder, "build", "site", "--out", "built")
		if !same(t, built, sites[1]) {
			t.Error("with room the new site is not whole")
		}
	})
}

// Without room for its cache a build works all the same, and slower.
func TestCacheIsFull(t *testing.T) {
	folder, _ := plain().site(t)
	cmd := command(t, folder, "build", "site", "--out", "built")
	full := t.TempDir()
	put(t, filepath.Join(full, "gripleaf"), "a file where the folder should be")
	cmd.Env = append(cmd.Env, "XDG_CACHE_HOME="+full)
	if o := wait(t, cmd); o.code != 0 {
		t.Errorf("exit code %d: %s", o.code, o.err)
	}
}

// unprivileged makes a command run without the rights of the superuser, who may write everywhere.
func unprivileged(t *testing.T, cmd *exec.Cmd, owned ...string) {
	t.Helper()
	if os.Getuid() != 0 {
		return
	}
	const nobody = 65534
	for _, name := range owned {
		err := filepath.WalkDir(name, func(name string, _ os.DirEntry, err error) error {
			if err != nil {
				return err
			}
			return os.Lchown(name, nobody, nobody)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range append(owned, scratch) {
		for d := name; len(d) > 1; d = filepath.Dir(d) {
			if info, err := os.Stat(d); err == nil && info.Mode().Perm()&0o055 != 0o055 {
				if err := os.Chmod(d, info.Mode().Perm()|0o055); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	cmd.Env = append(cmd.Env, "XDG_CACHE_HOME="+filepath.Join(owned[0], "cache"), "TMPDIR="+owned[0], "GOCACHE="+filepath.Join(owned[0], "go"))
}

// A page that may not be written is replaced like others; a folder that may not be written keeps the old site.
func TestReadOnly(t *testing.T) {
	sites := builds(t)
	for _, test := range []struct {
		name, path string
		mode       os.FileMode
		works      bool
	}{
		{"page", "built/index.html", 0o444, true},
		{"site", "built", 0o555, false},
		{"folder around it", ".", 0o555, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, site := edition(0).site(t)
			folder := t.TempDir()
			built := filepath.Join(folder, "built")
			mustRun(t, folder, "build", site, "--out", "built")
			rewrite(t, site, 1)
			other := t.TempDir()
			copyCache(t, other)
			cmd := command(t, folder, "build", site, "--out", "built")
			unprivileged(t, cmd, other, folder, site)
			if err := os.Chmod(filepath.Join(folder, test.path), test.mode); err != nil {
				t.Fatal(err)
			}
			o := wait(t, cmd)
			os.Chmod(folder, 0o755)
			want := sites[0]
			if test.works {
				want = sites[1]
			}
			if (o.code == 0) != test.works || !same(t, built, want) {
				t.Errorf("exit code %d, %s\n%s", o.code, o.err, cmp.Diff(want, state(t, built)))
			}
			if !test.works && !strings.Contains(o.err, "permission denied") {
				t.Errorf("it says %s", o.err)
			}
		})
	}
}

// copyCache gives a folder the compiled modules, which a user without a go command's cache would wait for.
func copyCache(t *testing.T, folder string) {
	t.Helper()
	if err := os.CopyFS(filepath.Join(folder, "cache"), os.DirFS(filepath.Join(scratch, "cache"))); err != nil {
		t.Fatal(err)
	}
}

// A fault in the very last lesson publishes nothing of the others.
func TestFaultInTheLastLesson(t *testing.T) {
	sites := builds(t)
	folder, site := edition(0).site(t)
	built := filepath.Join(folder, "built")
	mustRun(t, folder, "build", "site", "--out", "built")
	before, err := os.Stat(filepath.Join(built, "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	rewrite(t, site, 1)
	put(t, filepath.Join(site, "en/own-1.md"), head+"[17.8 m](calc:stop?speed=60km/h&grip=0.8#braking-distance)\n")
	o := run(t, folder, "build", "site", "--out", "built")
	if o.code != 1 || !strings.Contains(o.err, `site/en/own-1.md:5:2: "17.8 m" is written, 17.70`) {
		t.Errorf("exit code %d: %s", o.code, o.err)
	}
	after, err := os.Stat(filepath.Join(built, "index.html"))
	if err != nil || !same(t, built, sites[0]) || !os.SameFile(before, after) {
		t.Errorf("the old site is not as it was: %v", err)
	}
}

// What somebody else has put into the folder is named and never removed; folders that are not for a site are refused.
func TestFoldersThatAreNotOurs(t *testing.T) {
	folder, site := plain().site(t)
	put(t, filepath.Join(folder, "built/CNAME"), "ferndale.example")
	if o := run(t, folder, "build", "site", "--out", "built"); o.code != 1 || !strings.Contains(o.err, "built/CNAME") {
		t.Errorf("exit code %d: %s", o.code, o.err)
	}
	if got := state(t, filepath.Join(folder, "built")); len(got) != 1 {
		t.Errorf("the folder holds %v", got)
	}
	for range 2 { // told to, it keeps the file, in the folder as it was and in that of a site
		o := run(t, folder, "build", "site", "--out", "built", "--keep-others")
		got := state(t, filepath.Join(folder, "built"))
		if o.code != 0 || !strings.Contains(o.out, "kept as they are: 1 file of others") || got["index.html"] == "" || got["CNAME"] != fmt.Sprintf("%x", sha256.Sum256([]byte("ferndale.example"))) {
			t.Errorf("exit code %d: %s%s", o.code, o.out, o.err)
		}
	}
	if o := run(t, folder, "build", "site", "--out", "built"); o.code != 1 || !strings.Contains(o.err, "--keep-others") {
		t.Errorf("exit code %d: %s", o.code, o.err)
	}
	home := t.TempDir()
	for _, out := range []string{".", "site", "site/en", "site/pictures", "site/en/built", "site/theme", "site/built/../..", "/", home, home + "/..", "site/en/../../site"} {
		cmd := command(t, folder, "build", "site", "--out", out)
		cmd.Env = append(cmd.Env, "HOME="+home)
		if o := wait(t, cmd); o.code != 1 || o.err == "" {
			t.Errorf("--out %s: exit code %d: %s", out, o.code, o.err)
		}
	}
	if diff := cmp.Diff(len(plain()), len(state(t, site))); diff != "" {
		t.Error("the site's own folder has changed", diff)
	}
}
