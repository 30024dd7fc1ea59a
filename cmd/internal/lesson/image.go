package lesson

import (
	"strings"

	"github.com/yuin/goldmark/ast"

	addresses "example.org/gripleaf/cmd/internal/address"
)

// Image is a picture of the site.
type Image struct {
	inline
	Destination   string
	DestinationAt int
	Title         string
	Alt           string
}

func (n *Image) words() string { return n.Alt }

func (c *collector) image(parent ast.Node, n *ast.Image) {
	a := c.address(n, n.Destination, n.Title, n.Reference)
	if strings.HasPrefix(a.text, calcScheme) {
		c.fault(a.whole, "not-alone", "an explorer or a figure stands alone in its paragraph", "leave an empty line before and after it")
		return
	}
	c.children(n)
	if name, has := addresses.Scheme(a.text); has || strings.HasPrefix(a.text, "//") {
		c.fault(a.span(0, max(len(name), 1)), "outside-picture",
			"this picture is not of the site, and pages load nothing from elsewhere", "put it into pictures/, and name it from there")
		return
	}
	image := &Image{inline: inline{Span: a.whole}, Destination: a.text, DestinationAt: a.at, Title: unescape(n.Title), Alt: c.lesson.Plain(n)}
	c.lesson.Images = append(c.lesson.Images, image)
	parent.ReplaceChild(parent, n, image)
}
