package lesson

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// MomentHint says how a moment is written.
const MomentHint = "write minutes and seconds, such as \"2:05\", or hours as well, such as \"1:02:05\""

// ParseMoment reads a time within a video: "2:05", "1:02:05".
func ParseMoment(text string) (time.Duration, error) {
	parts := strings.Split(text, ":")
	wrong := errors.New(quote(text) + " is not a moment of a video")
	if len(parts) < 2 || len(parts) > 3 {
		return 0, wrong
	}
	seconds := 0
	for i, p := range parts {
		n, err := strconv.Atoi(p)
		if err != nil || n < 0 || i > 0 && (n > 59 || len(p) != 2) || n > 999 || p[0] == '+' {
			return 0, wrong
		}
		seconds = seconds*60 + n
	}
	return time.Duration(seconds) * time.Second, nil
}

// FormatMoment writes a moment as a person does: "2:05", "1:02:05".
func FormatMoment(d time.Duration) string {
	s := int(d / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
