package address

import "testing"

// What browsers follow is told by the URL standard (https://url.spec.whatwg.org, 4.4): they leave out tabs and line
// ends anywhere, and control characters and spaces at both ends.
func TestWeb(t *testing.T) {
	for text, fine := range map[string]bool{
		"https://braking.example/a?b=c#d": true, "http://braking.example": true, "https://braking.example:8080/": true,
		"javascript:alert(1)": false, "JaVaScRiPt:alert(1)": false, "java\tscript:alert(1)": false, " javascript:alert(1)": false,
		"\x01javascript:alert(1)": false, "data:text/html,x": false, "vbscript:x": false, "file:///etc/passwd": false,
		"//braking.example/": false, "https:///a": false, "https:a": false, "https://": false, "ftp://braking.example/": false,
		"https://a b/": false, "https://a\\b/": false, "": false, "braking.example": false,
		"https://[::1": false, "https://a/%zz": false, "ht\ntps://a.example/": false,
	} {
		if err := Web(text); (err == nil) != fine {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestPlace(t *testing.T) {
	for text, fine := range map[string]bool{
		"two.md": true, "pages/about.md": true, "#here": true, "../de/one.md": true, "../glossary.html?x#y": true, "": true,
		"../../one.md": false, "/one.html": false, "//host/one": false, `\\host\one`: false, `/\host`: false, "a/../../../b": false, "..": true, "../..": false,
	} {
		if err := Place("en/one.md", text); (err == nil) != fine {
			t.Errorf("%q: %v", text, err)
		}
	}
}
