package page

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"html/template"
	"strconv"
	"strings"
	"time"

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

// policy says what the page may load (Content Security Policy), its own script and style alone; its block of facts is
// known to it by its content.
func (f *frame) policy() string {
	facts := ""
	if f.Facts != "" {
		hash := sha256.Sum256([]byte(f.Facts))
		facts = " 'sha256-" + base64.StdEncoding.EncodeToString(hash[:]) + "'"
	}
	return "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'" + facts + "; worker-src blob: 'self'; style-src 'self'; img-src 'self' data:; " +
		"connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'"
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

func (f *frame) publisher() any {
	if f.Site.Publisher == "" {
		return nil
	}
	return thing{"@type": "Organization", "name": f.Site.Publisher}
}

// courseFacts describes the course page.
func (p *Printer) courseFacts(v *mapView) any {
	var parts []any
	for _, h := range v.Stops {
		parts = append(parts, thing{"@type": "LearningResource", "position": h.Number, "name": h.Title}.put("url", v.Full(h.Address)))
	}
	return thing{"@context": "https://schema.org", "@type": "Course", "name": v.Title, "description": v.About,
		"inLanguage": v.Language.Tag.String(), "hasPart": parts,
		"timeRequired": "PT" + strconv.Itoa(max(1, v.Minutes)) + "M"}.put("url", v.Full(v.Path)).put("provider", v.publisher())
}

// lessonFacts describes a lesson: the text, its video with the moments, its questions.
func (p *Printer) lessonFacts(v *lessonPage, l *lesson.Lesson) any {
	about := thing{"@context": "https://schema.org", "@type": "LearningResource", "name": v.Title, "description": v.About,
		"inLanguage": v.Language.Tag.String(), "learningResourceType": "lesson", "timeRequired": "PT" + strconv.Itoa(v.Minutes) + "M"}
	about.put("url", v.Full(v.Path)).put("publisher", v.publisher()).put("teaches", v.Entry.Question)
	if !v.Entry.Date.IsZero() {
		about["datePublished"] = v.Entry.Date.Format(time.DateOnly)
	}
	if at := updated(v.Entry); !at.IsZero() {
		about["dateModified"] = at.Format(time.DateOnly)
	}
	if !v.Entry.Beside {
		about["isPartOf"] = thing{"@type": "Course", "name": v.SiteTitle()}.put("url", v.Full(v.Home))
	}
	var parts []any
	if v.Entry.Video != nil {
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

func (v *lessonPage) video(l *lesson.Lesson) thing {
	title := v.Entry.Video.Title
	if title == "" {
		title = v.Title
	}
	t := thing{"@type": "VideoObject", "name": title, "description": v.About, "url": v.Entry.Video.AddressAt(0)}
	if v.Entry.Video.Length > 0 {
		t["duration"] = "PT" + strconv.Itoa(int(v.Entry.Video.Length/time.Second)) + "S"
	}
	if !v.Entry.Date.IsZero() {
		t["uploadDate"] = v.Entry.Date.Format(time.DateOnly)
	}
	var clips []any
	for i, h := range l.Headings {
		if !h.Timed {
			continue
		}
		clip := thing{"@type": "Clip", "name": h.Text, "startOffset": int(h.At / time.Second), "url": v.Entry.Video.AddressAt(h.At)}
		end := v.Entry.Video.Length
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

func (v *lessonPage) quiz(l *lesson.Lesson) thing {
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
			one["acceptedAnswer"] = thing{"@type": "Answer", "text": v.Quantity(q.Answer.Result.Value, q.Answer.Result.Shown)}
		}
		questions = append(questions, one)
	}
	return thing{"@type": "Quiz", "name": v.Title, "hasPart": questions}
}

// task is what a question asks, as text.
func task(l *lesson.Lesson, q *lesson.Question) string {
	var parts []string
	for n := q.FirstChild(); n != nil; n = n.NextSibling() {
		if n.Kind() == lesson.KindChoices || n.Kind() == lesson.KindExplanation {
			break
		}
		parts = append(parts, strings.TrimSpace(l.Plain(n)))
	}
	return strings.Join(parts, " ")
}
