package archive

import (
	"net/url"
	"path/filepath"
	"strconv"
)

// fileQuery names a database file and how to open it, for SQLite.
func fileQuery(path string) *dsn {
	return &dsn{path, url.Values{
		"_foreign_keys": {"on"},
		"_busy_timeout": {strconv.FormatInt(busyTimeout.Milliseconds(), 10)},
	}}
}

type dsn struct {
	path string
	how  url.Values
}

func (d *dsn) with(key, value string) { d.how.Set(key, value) }

func (d *dsn) String() string {
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(d.path)}
	return u.String() + "?" + d.how.Encode()
}
