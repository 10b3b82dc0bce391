package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"path"
	"slices"
	"strings"
	"time"
	"unicode"

	"tankroll/record"
)

// upload is one file as it was sent.
type upload struct {
	name string
	raw  []byte
}

// outcome is what became of one file.
type outcome struct {
	Name     string
	Captures []string // ids; usually one
	Already  bool     // these bytes were kept before
	Problem  string   // why it was not taken
}

// send takes photos in. What was taken is durable before the answer; the work
// goes on when the sender's phone loses its connection.
func (s *site) send(w http.ResponseWriter, r *http.Request) error {
	wait, stop := context.WithTimeout(r.Context(), sendWait)
	defer stop()
	if err := s.sending.Acquire(wait, 1); err != nil {
		return plainError{http.StatusServiceUnavailable, "Others are sending right now and their photos are still being read. Wait a minute and send again."}
	}
	defer s.sending.Release(1)

	body := r.Body
	r.Body = http.MaxBytesReader(w, body, s.opt.Limits.Bytes)
	files, number, err := s.receive(r)
	if err != nil {
		// A browser that is still sending shows a broken connection instead of
		// the answer, so as much again is read and dropped.
		_, _ = io.CopyN(io.Discard, body, s.opt.Limits.Bytes)
		return err
	}
	if len(files) == 0 {
		return plainError{http.StatusBadRequest, "No photo was chosen. Go back, choose one and send it."}
	}
	setCookie(w, siteCookie, number)

	ctx, cancel := context.WithTimeout(context.WithoutCancel(r.Context()), sendTime)
	defer cancel()
	done, err := s.takeAll(ctx, files, number)
	if err != nil {
		return err
	}
	return s.answerSent(w, r, done)
}

func (s *site) tooMuch() error {
	return plainError{http.StatusRequestEntityTooLarge, fmt.Sprintf(
		"The photos are too large to send in one go: at most %d files, %d MB each and %d MB together. Send fewer at a time.",
		s.opt.Limits.Files, s.opt.Limits.FileBytes>>20, s.opt.Limits.Bytes>>20)}
}

// receive reads the form's files and site from the request, in memory: nothing
// of a request that is refused ever touches the disk.
func (s *site) receive(r *http.Request) (files []upload, number string, err error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, "", plainError{http.StatusBadRequest, "This was not sent by the form for photos. Open the first page and send from there."}
	}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return files, number, nil
		}
		if err != nil {
			return nil, "", s.broken(err)
		}
		switch part.FormName() {
		case "site":
			raw, err := io.ReadAll(io.LimitReader(part, 200))
			if err != nil {
				return nil, "", s.broken(err)
			}
			number = tidy(string(raw), 60)
		case "photo", "file":
			f, err := s.receiveFile(part)
			if err != nil {
				return nil, "", err
			}
			if f.name == "" && len(f.raw) == 0 {
				continue // a file input that was left empty
			}
			if files = append(files, f); len(files) > s.opt.Limits.Files {
				return nil, "", s.tooMuch()
			}
		}
	}
}

func (s *site) receiveFile(part *multipart.Part) (upload, error) {
	raw, err := io.ReadAll(io.LimitReader(part, s.opt.Limits.FileBytes+1))
	if err != nil {
		return upload{}, s.broken(err)
	}
	if int64(len(raw)) > s.opt.Limits.FileBytes {
		return upload{}, s.tooMuch()
	}
	return upload{fileName(part.FileName()), raw}, nil
}

// broken says why reading the request ended early.
func (s *site) broken(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return s.tooMuch()
	}
	return plainError{http.StatusBadRequest, "The photos did not arrive whole; none of them was kept. Check the connection and send again."}
}

// fileName keeps of a sent file's name what can be shown.
func fileName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	if name == "." || name == "/" {
		return ""
	}
	return tidy(name, 120)
}

// tidy drops control characters, joins spaces and cuts a text to n runes.
func tidy(s string, n int) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		if !unicode.IsPrint(r) || r == unicode.ReplacementChar {
			return -1
		}
		return r
	}, s)
	rs := []rune(strings.Join(strings.Fields(s), " "))
	return string(rs[:min(len(rs), n)])
}

// takeAll gives files to the desk, as the pictures of one batch. A page may come
// with a later file than its own, so it is told by its picture's hash: phones
// give all their photos one name.
func (s *site) takeAll(ctx context.Context, files []upload, number string) ([]outcome, error) {
	done := make([]outcome, len(files))
	sums := make([]string, len(files))
	batch := s.desk.Batch(number, func(p record.Page) error {
		for i, sum := range sums {
			if sum != p.SHA256 {
				continue
			}
			if o := &done[i]; !slices.Contains(o.Captures, p.Capture) {
				o.Captures, o.Already = append(o.Captures, p.Capture), o.Already || p.Already
			}
		}
		return nil
	})
	for i, f := range files {
		sum := sha256.Sum256(f.raw)
		done[i].Name, sums[i] = f.name, hex.EncodeToString(sum[:])
		if err := batch.Add(ctx, f.name, f.raw); err != nil {
			s.opt.Log.Warn("photo not taken", "file", f.name, "err", err)
			done[i].Problem = err.Error()
		}
	}
	return done, batch.End(ctx)
}

// answerSent leads on to what was read, or says what was not taken.
func (s *site) answerSent(w http.ResponseWriter, r *http.Request, done []outcome) error {
	to := url.Values{}
	for _, o := range done {
		if o.Problem != "" {
			return s.show(w, http.StatusUnprocessableEntity, "unsent", frame{Title: "Not everything could be read", Here: "send", Data: done})
		}
		for _, id := range o.Captures {
			if !slices.Contains(to["c"], id) {
				to.Add("c", id)
			}
		}
	}
	if len(done) == 1 && len(to["c"]) == 1 {
		where := "/captures/" + to.Get("c") + "?sent=new"
		if done[0].Already {
			where = "/captures/" + to.Get("c") + "?sent=already"
		}
		http.Redirect(w, r, where, http.StatusSeeOther)
		return nil
	}
	http.Redirect(w, r, "/sent?"+to.Encode(), http.StatusSeeOther)
	return nil
}

// sent lists several captures that came in together.
func (s *site) sent(w http.ResponseWriter, r *http.Request) error {
	var list []listed
	for i, id := range r.URL.Query()["c"] {
		if i >= s.opt.Limits.Files {
			break
		}
		c, err := s.findCapture(r.Context(), id)
		if err != nil {
			return err
		}
		l, err := s.list(r.Context(), c)
		if err != nil {
			return err
		}
		list = append(list, l)
	}
	return s.show(w, http.StatusOK, "sent", frame{Title: "Sent", Here: "send", Data: list})
}

// The cookies: what a person would have to say again each time.
const (
	siteCookie = "tankroll-site"
	nameCookie = "tankroll-name"
)

func setCookie(w http.ResponseWriter, name, value string) {
	http.SetCookie(w, &http.Cookie{
		Name: name, Value: url.QueryEscape(value), Path: "/",
		Expires: time.Now().AddDate(1, 0, 0), HttpOnly: true, SameSite: http.SameSiteLaxMode,
	})
}

func cookie(r *http.Request, name string) string {
	c, err := r.Cookie(name)
	if err != nil {
		return ""
	}
	v, err := url.QueryUnescape(c.Value)
	if err != nil {
		return ""
	}
	return tidy(v, 60)
}
