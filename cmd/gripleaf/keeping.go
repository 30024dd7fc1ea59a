package main

import (
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/whole"
)

// keeping is the part of a command that writes files which somebody may have changed since.
type keeping struct {
	Overwrite bool `help:"Write over files that somebody has changed, too; without it they are kept."`
}

func (k keeping) keeper() *whole.Keeper {
	return &whole.Keeper{Memory: cache.Open(), Overwrite: k.Overwrite}
}
