package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"tankroll/archive"
)

// sendFiles posts files as the form does.
func sendFiles(t testing.TB, h http.Handler, site string, files ...upload) *httptest.ResponseRecorder {
	t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	if err := m.WriteField("site", site); err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		p, err := m.CreateFormFile("photo", f.name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.Write(f.raw); err != nil {
			t.Fatal(err)
		}
	}
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest("POST", "http://localhost/send", &b)
	r.Header.Set("Content-Type", m.FormDataContentType())
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestSend(t *testing.T) {
	h, d := newTestSite(t)
	w := sendFiles(t, h, " 0114 ", upload{"march.png", photo(t, "")})
	if w.Code != 303 || w.Header().Get("Location") != "/captures/c1?sent=new" {
		t.Fatalf("status %d to %q, want 303 to the capture", w.Code, w.Header().Get("Location"))
	}
	page := mustGet(t, h, w.Header().Get("Location"))
	wantAll(t, "the capture", page, "Kept. 1 of 2 records doubtful: compare with the paper", "Tank leak test, tank 1")
	c, err := d.Capture(t.Context(), "c1")
	if err != nil || c.Site != "114" {
		t.Errorf("capture %+v, %v; want site 114", c, err)
	}
	// The site is remembered for the next photo.
	r := httptest.NewRequest("GET", "http://localhost/", nil)
	for _, k := range w.Result().Cookies() {
		r.AddCookie(k)
	}
	again := httptest.NewRecorder()
	h.ServeHTTP(again, r)
	wantAll(t, "the first page", again.Body.String(), `value="0114"`)

	w = sendFiles(t, h, "114", upload{"march again.png", photo(t, "")})
	if w.Code != 303 || w.Header().Get("Location") != "/captures/c1?sent=already" {
		t.Errorf("the same picture: status %d to %q", w.Code, w.Header().Get("Location"))
	}
	wantAll(t, "the capture", mustGet(t, h, w.Header().Get("Location")), "was sent before")

	w = sendFiles(t, h, "", upload{"a.png", photo(t, "A")}, upload{"b.png", photo(t, "B")})
	if w.Code != 303 || w.Header().Get("Location") != "/sent?c=c2&c=c3" {
		t.Errorf("two pictures: status %d to %q", w.Code, w.Header().Get("Location"))
	}
}

// TestSendPart: one bad file does not lose the good ones, and the page says
// which paper to keep.
func TestSendPart(t *testing.T) {
	h, d := newTestSite(t)
	w := sendFiles(t, h, "", upload{"good.png", photo(t, "")}, upload{`..\<b>notes.txt`, []byte("not a picture")})
	if w.Code != 422 {
		t.Errorf("status %d, want 422", w.Code)
	}
	wantAll(t, "the answer", w.Body.String(), "good.png: kept and read", "/captures/c1", "&lt;b&gt;notes.txt:", "not a picture that can be opened", "Keep the paper")
	if list, err := d.Captures(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("%d captures kept (%v), want 1", len(list), err)
	}
}

func TestSendTooMuch(t *testing.T) {
	h, d := newTestSite(t) // 3 files, 1 MB each, 2 MB together
	big := bytes.Repeat([]byte{7}, 1<<20+1)
	most := big[:1<<20-100]
	for name, files := range map[string][]upload{
		"one too large":      {{"big.png", big}},
		"too large together": {{"a.png", most}, {"b.png", most}, {"c.png", most}},
		"too many":           {{"a.png", photo(t, "1")}, {"b.png", photo(t, "2")}, {"c.png", photo(t, "3")}, {"d.png", photo(t, "4")}},
	} {
		w := sendFiles(t, h, "", files...)
		if w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: status %d, want 413", name, w.Code)
		}
		wantAll(t, name, w.Body.String(), "at most 3 files, 1 MB each and 2 MB together")
	}
	// Without a length the limit holds while the bytes arrive.
	pr := &endless{}
	r := httptest.NewRequest("POST", "http://localhost/send", pr)
	r.ContentLength = -1
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	if w.Code != http.StatusRequestEntityTooLarge || pr.n > 5<<20 {
		t.Errorf("endless: status %d after %d bytes, want 413 soon after 2 MB", w.Code, pr.n)
	}
	if list, err := d.Captures(t.Context()); err != nil || len(list) != 0 {
		t.Errorf("%d captures kept (%v), want none", len(list), err)
	}
}

// endless is a request body in a field that nobody asked for, and that never
// ends.
type endless struct{ n int }

func (e *endless) Read(p []byte) (int, error) {
	if e.n == 0 {
		e.n = copy(p, "--x\r\nContent-Disposition: form-data; name=\"junk\"\r\n\r\n")
		return e.n, nil
	}
	for i := range p {
		p[i] = 'a'
	}
	e.n += len(p)
	return len(p), nil
}

func TestSendBroken(t *testing.T) {
	h, _ := newTestSite(t)
	for name, c := range map[string]struct{ kind, body string }{
		"no form":      {"text/plain", "hello"},
		"no boundary":  {"multipart/form-data", "hello"},
		"cut short":    {"multipart/form-data; boundary=x", "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.png\"\r\n\r\nabc"},
		"nothing":      {"multipart/form-data; boundary=x", "--x--\r\n"},
		"empty inputs": {"multipart/form-data; boundary=x", "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"\"\r\n\r\n\r\n--x--\r\n"},
	} {
		r := httptest.NewRequest("POST", "http://localhost/send", strings.NewReader(c.body))
		r.Header.Set("Content-Type", c.kind)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "Code 400") {
			t.Errorf("%s: status %d, want 400 with a page", name, w.Code)
		}
	}
	// An empty file is told of by its name.
	w := sendFiles(t, h, "", upload{"empty.png", nil})
	if w.Code != 422 || !strings.Contains(w.Body.String(), "<strong>empty.png:") {
		t.Errorf("empty file: status %d", w.Code)
	}
}

func TestOriginal(t *testing.T) {
	h, d := newTestSite(t)
	raw := photo(t, "march.png")
	c := d.add(t, "march.png")
	w := get(t, h, "/captures/"+c+"/original")
	if w.Code != 200 || w.Header().Get("Content-Type") != "image/png" || !bytes.Equal(w.Body.Bytes(), raw) {
		t.Errorf("the original: status %d, %s, %d bytes of %d", w.Code, w.Header().Get("Content-Type"), w.Body.Len(), len(raw))
	}
	// What a browser might run is saved, never shown.
	for name, bytes := range map[string]string{"page.html": "<html><script>alert(1)</script>", "draw.svg": "<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", `q".x"y`: "plain"} {
		k, _, err := d.Keep(t.Context(), name, []byte(bytes), "")
		if err != nil {
			t.Fatal(err)
		}
		w := get(t, h, "/captures/"+k.ID+"/original")
		if w.Header().Get("Content-Type") != "application/octet-stream" || !strings.HasPrefix(w.Header().Get("Content-Disposition"), `attachment; filename="`+k.ID+`.`) {
			t.Errorf("%s: %q %q", name, w.Header().Get("Content-Type"), w.Header().Get("Content-Disposition"))
		}
	}
}

// TestUnread: a picture that was kept but not read yet is shown as that.
func TestUnread(t *testing.T) {
	h, d := newTestSite(t)
	c, _, err := d.Keep(t.Context(), "march.png", photo(t, ""), "")
	if err != nil {
		t.Fatal(err)
	}
	wantAll(t, "the capture", mustGet(t, h, "/captures/"+c.ID), "It has not been read yet", "/captures/c1/pages/1/picture.jpg")
	wantAll(t, "the list", mustGet(t, h, "/captures"), "kept, not read yet")
	if err := d.SaveReadings(t.Context(), c.ID, []archive.Reading{}); err != nil {
		t.Fatal(err)
	}
	mustGet(t, h, "/captures/"+c.ID)
}
