package main

type beginCommand struct{}

func (beginCommand) Run(*world) error { return nil }

type previewCommand struct{}

func (previewCommand) Run(*world) error { return nil }
