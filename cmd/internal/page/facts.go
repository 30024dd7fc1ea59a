package page

import (
	"cmp"
	"encoding/json"
	"html/template"
	"strconv"
	"strings"
	"time"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

// jsonLD writes facts so that they may stand in a script element: json.Marshal escapes <, > and &.
func jsonLD(facts any) template.JS {
	text, err := json.Marshal(facts)
	if err != nil {
		panic(err) // the facts are maps, lists, texts and numbers
	}
	return template.JS(text)
}

// thing is a node of JSON-LD in the vocabulary of schema.org.
type thing map[string]any

// put sets what is not empty.
func (t thing) put(name string, value any) thing {
	if value != "" && value != nil {
		t[name] = value
	}
	return t
}

func (s *Site) publisher() any {
	if s.Publisher == "" {
		return nil
	}
	return thing{"@type": "Organization", "name": s.Publisher}
}

// reading is a time in minutes as schema.org writes it (ISO 8601).
func reading(minutes int) string { return "PT" + strconv.Itoa(minutes) + "M" }

// facts describe the course page.
func (m *Map) facts() any {
	var parts []any
	for _, h := range m.Lessons {
		part := thing{"@type": "LearningResource", "position": h.Number, "name": h.Title}
		parts = append(parts, part.put("url", m.Full(h.Path)))
	}
	about := thing{"@context": "https://schema.org", "@type": "Course", "name": m.Title, "description": m.About,
		"inLanguage": m.Site.Language.Tag, "hasPart": parts, "timeRequired": reading(max(1, m.Minutes))}
	return about.put("url", m.Full(m.Path)).put("provider", m.Site.publisher())
}

// facts describe a lesson: the text, its video with the moments, its questions.
func (v *Lesson) facts(l *lesson.Lesson) any {
	about := thing{"@context": "https://schema.org", "@type": "LearningResource", "name": v.Title, "description": v.About,
		"inLanguage": v.Site.Language.Tag, "learningResourceType": "lesson", "timeRequired": reading(minutes(l.Words))}
	about.put("url", v.Full(v.Path)).put("publisher", v.Site.publisher()).put("teaches", l.Meta.Question)
	if !l.Meta.Date.IsZero() {
		about["datePublished"] = l.Meta.Date.Format(time.DateOnly)
	}
	if at := course.Updated(&l.Meta); !at.IsZero() {
		about["dateModified"] = at.Format(time.DateOnly)
	}
	if !v.Beside {
		about["isPartOf"] = thing{"@type": "Course", "name": v.Site.Title}.put("url", v.Full(v.Site.Home))
	}
	var parts []any
	if l.Meta.Video != nil {
		parts = append(parts, v.video(l))
	}
	if len(l.Questions) > 0 {
		parts = append(parts, v.quiz(l))
	}
	if parts != nil {
		about["hasPart"] = parts
	}
	return about
}

func (v *Lesson) video(l *lesson.Lesson) thing {
	video := l.Meta.Video
	t := thing{"@type": "VideoObject", "name": cmp.Or(video.Title, v.Title), "description": v.About,
		"url": video.AddressAt(0)}
	if video.Length > 0 {
		t["duration"] = "PT" + strconv.Itoa(int(video.Length/time.Second)) + "S"
	}
	if !l.Meta.Date.IsZero() {
		t["uploadDate"] = l.Meta.Date.Format(time.DateOnly)
	}
	var clips []any
	for i, h := range l.Headings {
		if !h.Timed {
			continue
		}
		clip := thing{"@type": "Clip", "name": h.Text, "startOffset": int(h.At / time.Second), "url": video.AddressAt(h.At)}
		end := video.Length
		for _, after := range l.Headings[i+1:] {
			if after.Timed {
				end = after.At
				break
			}
		}
		if end > h.At {
			clip["endOffset"] = int(end / time.Second)
		}
		clips = append(clips, clip)
	}
	if clips != nil {
		t["hasPart"] = clips
	}
	return t
}

func (v *Lesson) quiz(l *lesson.Lesson) thing {
	var questions []any
	for _, q := range l.Questions {
		one := thing{"@type": "Question", "text": task(l, q), "eduQuestionType": "Open ended"}
		if len(q.Choices) > 0 {
			one["eduQuestionType"] = "Multiple choice"
			var right, wrong []any
			for _, c := range q.Choices {
				answer := thing{"@type": "Answer", "text": l.Plain(c)}
				if c.Right {
					right = append(right, answer)
				} else {
					wrong = append(wrong, answer)
				}
			}
			one["acceptedAnswer"], one["suggestedAnswer"] = right, wrong
		} else if q.Answer != nil && q.Answer.Result.Work != nil {
			answer := v.Site.reader.Quantity(q.Answer.Result.Value, q.Answer.Result.Shown)
			one["acceptedAnswer"] = thing{"@type": "Answer", "text": answer}
		}
		questions = append(questions, one)
	}
	return thing{"@type": "Quiz", "name": v.Title, "hasPart": questions}
}

// task is what a question asks, as text.
func task(l *lesson.Lesson, q *lesson.Question) string {
	var parts []string
	for n := q.FirstChild(); n != nil; n = n.NextSibling() {
		switch n.(type) {
		case *lesson.Choices, *lesson.Explanation:
			return strings.Join(parts, " ")
		}
		parts = append(parts, strings.TrimSpace(l.Plain(n)))
	}
	return strings.Join(parts, " ")
}
