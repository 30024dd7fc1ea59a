package main

type previewCommand struct{}

func (previewCommand) Run(*world) error { return nil }
