package preview

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"net/url"
	"os"
	"path"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// hashed matches the names of files that hold a hash of their content, and so never change.
var hashed = regexp.MustCompile(`\.[0-9a-f]{8,64}\.[a-z0-9]+$`)

// site serves a file of the site.
func (s *Server) site(w http.ResponseWriter, r *http.Request) {
	if s.serveEarly(w, r) {
		return
	}
	if name := fileOf(r.URL.Path); name != "" && !s.exists(name) && s.early.wait(r.Context(), name) && s.serveEarly(w, r) {
		return
	}
	if s.serveLasting(w, r) {
		return
	}
	edition := s.hub.edition() // before the file is looked for, which is then no older
	root, err := os.OpenRoot(s.Dir)
	if err != nil {
		s.missing(w, r)
		return
	}
	defer root.Close()
	name, info, err := find(root, r.URL.Path)
	switch {
	case err != nil:
		s.failed(w, r, err)
		return
	case info.IsDir(): // whose address ends with a slash, or links in its page lead astray
		to := url.URL{Path: r.URL.Path + "/", RawQuery: r.URL.RawQuery}
		w.Header().Set("Location", to.String())
		w.WriteHeader(http.StatusTemporaryRedirect)
		return
	}
	file, err := root.Open(name)
	if err != nil {
		s.failed(w, r, err)
		return
	}
	defer file.Close()
	w.Header().Set("Content-Type", contentType(name))
	if path.Ext(name) == ".html" {
		servePage(w, r, http.StatusOK, file, edition)
		return
	}
	w.Header().Set("Cache-Control", "no-cache")
	if hashed.MatchString(name) {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	http.ServeContent(w, r, "", info.ModTime(), file)
}

// exists reports whether there is something at a path of the site.
func (s *Server) exists(name string) bool {
	root, err := os.OpenRoot(s.Dir)
	if err != nil {
		return false
	}
	defer root.Close()
	_, err = root.Stat(name)
	return err == nil
}

// serveEarly serves a file that is made and not published yet.
func (s *Server) serveEarly(w http.ResponseWriter, r *http.Request) bool {
	name := fileOf(r.URL.Path)
	if _, ok := s.early.get(name); !ok {
		return false
	}
	edition := s.hub.next()
	data, ok := s.early.get(name) // or the build has ended, and this is of the edition after it
	if !ok {
		return false
	}
	w.Header().Set("Content-Type", contentType(name))
	if path.Ext(name) == ".html" {
		servePage(w, r, http.StatusOK, bytes.NewReader(data), edition)
	} else {
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(data))
	}
	return true
}

// serveLasting serves a file that pages have loaded whose names are of an earlier edition.
func (s *Server) serveLasting(w http.ResponseWriter, r *http.Request) bool {
	name := fileOf(r.URL.Path)
	data, ok := s.lasting.get(name)
	if ok {
		w.Header().Set("Content-Type", contentType(name))
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(data))
	}
	return ok
}

// find returns the file, or the folder without a slash at its end, that a path of a request asks for.
func find(root *os.Root, p string) (name string, info fs.FileInfo, err error) {
	name, ok := siteName(p)
	if !ok {
		return "", nil, fs.ErrNotExist
	}
	folder := strings.HasSuffix(p, "/")
	if folder {
		name = path.Join(name, "index.html")
	}
	info, err = root.Stat(name)
	if err == nil && !info.Mode().IsRegular() && (folder || !info.IsDir()) {
		err = fs.ErrNotExist // a device, or worse
	}
	return name, info, err
}

// siteName returns the file that a path of a request asks for. It refuses what could be understood as another file by
// one system or another, and what is hidden.
func siteName(p string) (name string, ok bool) {
	if p == "/" {
		return ".", true
	}
	name = strings.TrimSuffix(strings.TrimPrefix(p, "/"), "/")
	if !fs.ValidPath(name) || strings.ContainsAny(name, "\\:\x00") {
		return "", false
	}
	for part := range strings.SplitSeq(name, "/") {
		if part[0] == '.' && part != ".well-known" {
			return "", false
		}
	}
	return name, true
}

// servePage serves a page together with the preview's script.
func servePage(w http.ResponseWriter, r *http.Request, code int, file io.Reader, edition string) {
	text, err := io.ReadAll(file)
	if err != nil {
		http.Error(w, "the page cannot be read", http.StatusInternalServerError)
		return
	}
	text = instrument(text, edition)
	w.Header().Set("Content-Length", strconv.Itoa(len(text)))
	w.WriteHeader(code)
	if r.Method != http.MethodHead {
		w.Write(text)
	}
}

// missing says that there is no such page, with the site's own page for this if it has one.
func (s *Server) missing(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	edition := s.hub.edition()
	file, err := os.OpenInRoot(s.Dir, "404.html")
	if err == nil {
		defer file.Close()
		if info, err := file.Stat(); err == nil && info.Mode().IsRegular() {
			servePage(w, r, http.StatusNotFound, file, edition)
			return
		}
	}
	text := "There is no page at this address."
	if _, err := os.Stat(s.Dir); errors.Is(err, fs.ErrNotExist) {
		text = "The site has not been built yet."
	}
	s.plain(w, r, http.StatusNotFound, text)
}

// failed says that there is no such page, or that it cannot be read.
func (s *Server) failed(w http.ResponseWriter, r *http.Request, err error) {
	if !errors.Is(err, fs.ErrPermission) {
		s.missing(w, r)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	s.plain(w, r, http.StatusInternalServerError, "The file at this address may not be read.")
}

// plain serves a page of one sentence, which loads anew like all others.
func (s *Server) plain(w http.ResponseWriter, r *http.Request, code int, sentence string) {
	w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; connect-src 'self'")
	text := "<!doctype html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\"><title>Preview</title></head>\n<body><p>" +
		sentence + "</p></body>\n</html>\n"
	servePage(w, r, code, strings.NewReader(text), s.hub.edition())
}

// types are those of the files that a page does not work without. Others are left to the system, and systems differ.
var types = map[string]string{
	".css":  "text/css; charset=utf-8",
	".html": "text/html; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".json": "application/json",
	".svg":  "image/svg+xml; charset=utf-8",
	".wasm": "application/wasm",
	".xml":  "application/xml; charset=utf-8",
}

func contentType(name string) string {
	ext := strings.ToLower(path.Ext(name))
	return cmp.Or(types[ext], mime.TypeByExtension(ext), "application/octet-stream")
}
