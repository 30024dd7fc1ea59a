package page

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"example.org/gripleaf/cmd/internal/course"
)

// words is the script that brings a language's catalogue into the page.
type words struct {
	path string // empty where there is no catalogue
	text []byte
}

func newWords(l *course.Language) words {
	if len(l.Words) == 0 {
		return words{}
	}
	list, err := json.Marshal(l.Words)
	if err != nil {
		panic(err) // a map of strings
	}
	text := append([]byte("gripleafWords="), list...)
	sum := sha256.Sum256(text)
	return words{"words." + l.Tag.String() + "." + hex.EncodeToString(sum[:5]) + ".js", text}
}

// clock prints a moment of a video: 2:05, 1:02:05.
func clock(d time.Duration) string {
	s := int(d / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
