package pack

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	htmltemplate "html/template"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"

	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/whole"
)

//go:embed print.css
var printCSS string

//go:embed print.html
var printPages string

// printed is a page to print, as its templates see it.
type printed struct {
	*Book
	Heading  string // what it is, beside the course's title
	Paper    string // its size
	Chapters []chapter
}

func (b *Book) printed(heading string) printed {
	return printed{Book: b, Heading: heading, Paper: "A4"}
}

// pages parses the templates of what is printed.
func (b *Book) pages() *htmltemplate.Template {
	return htmltemplate.Must(htmltemplate.New("").Funcs(htmltemplate.FuncMap{"say": b.Language.Say, "whole": b.whole,
		"working": working}).Parse(printPages))
}

// Cover is the title that stands over the whole.
func (p *printed) Cover() string {
	if p.Heading == "" {
		return p.Title()
	}
	return p.Title() + ": " + p.Heading
}

// Count is a number as the language writes it.
func (p *printed) Count(n int) string { return p.Language.Numbers.Format(float64(n), 0) }

// Standing is the caution that stands on every sheet.
func (p *printed) Standing() string { return p.Language.Say(kit.StandingCaution) }

// Style is the style sheet of all that is printed.
func (p *printed) Style() htmltemplate.CSS { return htmltemplate.CSS(string(leafCSS) + printCSS) }

// Running are the titles at the heads of the chapters' sheets: each chapter has pages of its own kind.
func (p *printed) Running() (titles []string) {
	for _, c := range p.Chapters {
		titles = append(titles, c.Entry.Title)
	}
	return titles
}

// embedded is a picture of the site as an address that holds it.
func (b *Book) embedded(file string, faults *fault.List) string {
	data, missing := b.picture(file)
	faults.Add(missing...)
	media := coreTypes[strings.ToLower(path.Ext(file))]
	if media == "" {
		media = "image/" + strings.TrimPrefix(path.Ext(file), ".")
	}
	return "data:" + media + ";base64," + base64.StdEncoding.EncodeToString(data)
}

// prefix makes the ids below a node, and the links to them, differ from those of other lessons on the same page.
func prefix(root *html.Node, with string) {
	for d := range root.Descendants() {
		for i := range d.Attr {
			a := &d.Attr[i]
			switch {
			case a.Key == "id", a.Key == "aria-labelledby", a.Key == "aria-describedby":
				a.Val = with + a.Val
			case a.Key == "href" && strings.HasPrefix(a.Val, "#") && !strings.HasPrefix(a.Val, "#~"):
				a.Val = "#" + with + a.Val[1:]
			case a.Key == "href" && strings.HasPrefix(a.Val, "#~"):
				a.Val = "#" + a.Val[2:] // a place outside of the lesson
			}
		}
	}
}

// NoBrowser is the fault of a machine without a browser that prints: the page is there all the same.
func noBrowser(page string) fault.Fault {
	return fault.Fault{Code: "no-browser", Text: "no Chromium is installed, so there is no PDF",
		Hint: "install it (on Debian: apt-get install chromium), or open " + page + " in any browser and print it"}
}

// browser begins a browser that prints, and says how to end it.
func browser(ctx context.Context) (context.Context, func(), error) {
	profile, remove, err := whole.Folder()
	if err != nil {
		return nil, nil, err
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.UserDataDir(profile), chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox) // Chromium refuses to run as root otherwise
	}
	allocated, over := chromedp.NewExecAllocator(ctx, options...)
	tab, closed := chromedp.NewContext(allocated)
	return tab, func() {
		closed()
		over()
		remove()
	}, nil
}

// printPDF prints a page that is on disk, by way of a browser: with tags for screen readers and an outline.
func printPDF(browser context.Context, page, pdf string, keeper *whole.Keeper) error {
	full, err := filepath.Abs(page)
	if err != nil {
		return err
	}
	address := url.URL{Scheme: "file", Path: filepath.ToSlash(full)}
	err = chromedp.Do(browser, chromedp.Navigate(address.String()))
	if errors.Is(err, exec.ErrNotFound) || errors.Is(err, fs.ErrNotExist) {
		return noBrowser(page)
	}
	if err != nil {
		return fmt.Errorf("printing %s: %w", page, err)
	}
	data, err := chromedp.Run(browser, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(),
		chromedp.PDFPrintBackground(), chromedp.PDFOutlineAndTagged(), chromedp.PDFStream()))
	if err != nil {
		return fmt.Errorf("printing %s: %w", page, err)
	}
	return keeper.Bytes(pdf, data)
}

// view is what a page to print is made of: a template and what it sees.
type view struct {
	base, template string
	data           any
}

// steps counts what is done of a work.
type steps struct {
	done, total int
	tell        func(done, total int)
}

func (s *steps) step() {
	s.done++
	s.tell(s.done, s.total)
}

// writePages writes pages to print, and then the PDF of each, a step each. It gives the files written; without a
// browser these are the pages.
func (b *Book) writePages(ctx context.Context, told *steps, views ...view) (files []string, err error) {
	for _, v := range views {
		var out bytes.Buffer
		if err := b.pages().ExecuteTemplate(&out, v.template, v.data); err != nil {
			return files, err
		}
		if err := b.Keeper.Bytes(v.base+".html", out.Bytes()); err != nil {
			return files, err
		}
		files = append(files, v.base+".html")
	}
	tab, end, err := browser(ctx)
	if err != nil {
		return files, err
	}
	defer end()
	for _, v := range views {
		if err := printPDF(tab, v.base+".html", v.base+".pdf", b.Keeper); err != nil {
			return files, err
		}
		files = append(files, v.base+".pdf")
		told.step()
	}
	return files, nil
}
