package preview

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const tag = `<script src="/.gripleaf/preview.js" data-edition="1.2" defer></script>`

func TestInstrument(t *testing.T) {
	for _, test := range []struct{ name, page, want string }{
		{"head", `<html><head><title>x</title></head><body>y</body></html>`, `<html><head><title>x</title>` + tag + `</head><body>y</body></html>`},
		{"no end of head", `<title>x</title><body class=a>y`, `<title>x</title>` + tag + `<body class=a>y`},
		{"neither", `<title>x</title><p>y`, `<title>x</title><p>y` + tag},
		{"empty", ``, tag},
		{"in text", `<head><script>"</head><body>"</script><!-- </head> --><title></head></title></head>`,
			`<head><script>"</head><body>"</script><!-- </head> --><title></head></title>` + tag + `</head>`},
		{"bytes stay", "<HEAD\n><Meta  Charset=utf-8 ></HEAD\n>&amp;&lt;&nbsp;\xff\x00<p\tid='a'>", "<HEAD\n><Meta  Charset=utf-8 >" + tag + "</HEAD\n>&amp;&lt;&nbsp;\xff\x00<p\tid='a'>"},
		{"cut short", `<head></head><p title="`, `<head>` + tag + `</head><p title="`},
		{"policy", `<head><meta http-equiv="content-security-policy" content="default-src 'none'; style-src 'self'"></head>`,
			`<head><meta http-equiv="content-security-policy" content="default-src &#39;none&#39;; style-src &#39;self&#39;; script-src &#39;self&#39;; connect-src &#39;self&#39;">` + tag + `</head>`},
	} {
		if diff := cmp.Diff(test.want, string(instrument([]byte(test.page), "1.2"))); diff != "" {
			t.Errorf("%s: %s", test.name, diff)
		}
	}
}

// The rules are those of Content Security Policy Level 3, section 6.8: a fetch that no directive of its own restricts
// is restricted by default-src, and 'none' means nothing beside other sources.
func TestAllowSelf(t *testing.T) {
	for _, test := range []struct{ policy, want string }{
		{"default-src 'none'", "default-src 'none'; connect-src 'self'"},
		{"default-src 'self' data:", "default-src 'self' data:; connect-src 'self' data:"},
		{"default-src 'none'; connect-src 'none'; img-src *", "default-src 'none'; connect-src 'self'; img-src *"},
		{"CONNECT-SRC https://a.example", "CONNECT-SRC https://a.example 'self'"},
		{"connect-src 'self'", "connect-src 'self'"},
		{"connect-src", "connect-src 'self'"},
		{"img-src 'self'", "img-src 'self'"},
		{"", ""},
	} {
		if got := allowSelf(test.policy, "connect-src"); got != test.want {
			t.Errorf("%q: got %q, want %q", test.policy, got, test.want)
		}
	}
}

func FuzzInstrument(f *testing.F) {
	f.Add([]byte(pageOf("x")))
	f.Add([]byte("<head><script></head>"))
	f.Add([]byte("<textarea><!--"))
	f.Fuzz(func(t *testing.T, page []byte) {
		got := instrument(page, "1.2")
		if !bytes.Contains(got, []byte(tag)) {
			t.Fatalf("no script in %q", got)
		}
		if bytes.Contains(bytes.ToLower(page), []byte("meta")) {
			return // which may have changed
		}
		if without := strings.Replace(string(got), tag, "", 1); without != string(page) {
			t.Errorf("%q became %q", page, got)
		}
	})
}
