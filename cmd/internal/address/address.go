// Package address is the one check for every address that an author writes. A page may lead its readers out into the
// web or to another place of the site, and nowhere else.
package address

import (
	"net/url"
	"path"
	"slices"
	"strings"
)

// Error is what is wrong with an address, and what to do.
type Error struct{ Text, Hint string }

func (e *Error) Error() string { return e.Text }

// scripted are schemes by which an address is a program or a page of its own.
var scripted = []string{"javascript", "vbscript", "data", "blob", "filesystem", "file"}

// Runs reports whether an address of a scheme is a program or a page of its own.
func Runs(scheme string) bool { return slices.Contains(scripted, scheme) }

const hint = "write a web address: https://…"

// Web checks an address out in the web: http or https, and a host.
func Web(address string) error {
	if strings.HasPrefix(address, "//") {
		return &Error{"an address that begins with // is neither of the site nor whole", hint}
	}
	scheme, _ := Scheme(address)
	switch {
	case Runs(scheme):
		return &Error{`links to "` + scheme + `:" are not taken`, "link to a page: https://…"}
	case scheme != "http" && scheme != "https":
		return &Error{"this is not a web address", hint}
	}
	u, err := url.Parse(address)
	if err != nil || u.Scheme != scheme || u.Hostname() == "" || strings.ContainsAny(address, " \t\r\n\\") {
		return &Error{"this web address cannot be read", "write it as the browser shows it: https://…"}
	}
	return nil
}

// Host is the host that a web address names.
func Host(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return ""
	}
	return u.Host
}

// Place checks an address without a scheme that a file of the site, such as en/one.md, writes: it leads to another
// place of the site.
func Place(file, address string) error {
	place, _, _ := strings.Cut(address, "#")
	place, _, _ = strings.Cut(place, "?")
	switch {
	case strings.HasPrefix(address, "//"), strings.HasPrefix(address, `\`), strings.HasPrefix(address, `/\`):
		return &Error{"an address that begins with // is neither of the site nor whole", hint}
	case strings.HasPrefix(address, "/"):
		return &Error{"an address that begins with / is not of the site, which may stand in any folder of a server",
			"write it from this file on: ../NAME, or a web address, https://…"}
	case place != "" && strings.HasPrefix(path.Join(path.Dir(file), place)+"/", "../"):
		return &Error{"this address leads out of the site", "write one of the site, or a web address, https://…"}
	}
	return nil
}

// Scheme is what stands before the first colon of an address, in small letters, if it is one (RFC 3986, 3.1). Browsers
// leave out control characters and spaces that stand before it or within it (URL standard, 4.4), so they are left out
// here too.
func Scheme(address string) (string, bool) {
	var name []byte
	for i := range len(address) {
		switch b := address[i]; {
		case b <= ' ':
		case 'a' <= b && b <= 'z' || 'A' <= b && b <= 'Z', len(name) > 0 && ('0' <= b && b <= '9' || b == '+' || b == '-' || b == '.'):
			name = append(name, b)
		case b == ':' && len(name) > 1:
			return strings.ToLower(string(name)), true
		default:
			return "", false
		}
	}
	return "", false
}
