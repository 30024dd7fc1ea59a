package pack

import (
	"iter"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// How an answer says which question it answers.
type naming uint8

const (
	numbered naming = iota // by its number in a list of its own
	named                  // by the first words of the task
	linked                 // by these words as a link, and the question links to the answer
)

// answers takes what answers the questions below root out of them, and gives one element for each question, in order:
// the right choices with their letters, or the number; then reasons and explanation.
func answers(root *html.Node, say func(string, ...string) string, by naming) []*html.Node {
	var list []*html.Node
	for _, q := range withClass(root, "question") {
		a := element(atom.Div, "solution", "")
		id := attribute(q, "id")
		number := element(atom.P, "solved", "")
		if by != numbered {
			number.AppendChild(label(q, say, by, "#"+id))
			number.AppendChild(&html.Node{Type: html.TextNode, Data: " "})
		}
		for i, text := range right(q) {
			if i > 0 {
				number.AppendChild(&html.Node{Type: html.TextNode, Data: ", "})
			}
			number.AppendChild(element(atom.B, "", text))
		}
		a.AppendChild(number)
		for _, r := range reasons(q) {
			a.AppendChild(r)
		}
		for _, e := range withClass(q, "explanation") {
			a.AppendChild(detach(e))
		}
		if by == linked {
			setAttribute(a, "id", id+"-answer")
			to := element(atom.P, "to-answer", "")
			link := element(atom.A, "", say("Answer and why"))
			setAttribute(link, "href", "#"+id+"-answer")
			to.AppendChild(link)
			q.AppendChild(to)
		}
		list = append(list, a)
	}
	return list
}

// label says which question an answer is to, by the first words of the task.
func label(q *html.Node, say func(string, ...string) string, by naming, address string) *html.Node {
	words := say("Answer")
	for d := range q.ChildNodes() {
		if d.DataAtom == atom.P && !hasClass(d, "name") {
			words = beginning(textOf(d))
			break
		}
	}
	if by == named {
		return element(atom.Span, "asked", words)
	}
	a := element(atom.A, "asked", words)
	setAttribute(a, "href", address)
	return a
}

// beginning is the first words of a text.
func beginning(text string) string {
	words := strings.Fields(text)
	if len(words) <= 9 {
		return strings.Join(words, " ")
	}
	return strings.Join(words[:8], " ") + " …"
}

// right gives the letters of the right choices, or the number asked for, and takes the marks out of the question.
func right(q *html.Node) []string {
	var list []string
	for _, n := range withClass(q, "answer") {
		list = append(list, textOf(detach(n)))
	}
	for letter, choice := range choices(q) {
		if hasClass(choice, "right") {
			list = append(list, letter)
			choice.Attr = nil
		}
	}
	return list
}

// reasons takes the reasons out of a question's choices and gives them with their letters.
func reasons(q *html.Node) []*html.Node {
	var list []*html.Node
	for letter, choice := range choices(q) {
		for _, r := range withClass(choice, "reason") {
			p := element(atom.P, "", letter+": ")
			p.AppendChild(detach(r))
			list = append(list, p)
		}
	}
	return list
}

// choices goes through the choices of a question and their letters.
func choices(q *html.Node) iter.Seq2[string, *html.Node] {
	return func(yield func(string, *html.Node) bool) {
		for _, list := range withClass(q, "choices") {
			letter := 'A'
			for item := range list.ChildNodes() {
				if item.DataAtom != atom.Li {
					continue
				}
				if !yield(string(letter), item) {
					return
				}
				letter++
			}
		}
	}
}
