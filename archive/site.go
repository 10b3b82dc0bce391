package archive

import (
	"strings"

	"tankroll/record"
)

// SiteKey is the form in which a site's number or name is compared: single
// spaces, capitals, a number without leading zeros. "0114" and "114" are one
// site, and so are "Oak  Street" and "OAK STREET".
func SiteKey(site string) string {
	s := strings.ToUpper(strings.Join(strings.Fields(site), " "))
	s = strings.TrimLeft(s, "#")
	if s != "" && strings.Trim(s, "0123456789") == "" {
		if s = strings.TrimLeft(s, "0"); s == "" {
			s = "0"
		}
	}
	return s
}

// SiteField is the field of a slip's header that a site goes into: its number,
// or its name.
func SiteField(site string) string {
	if site == "" || identForm.MatchString(SiteKey(site)) {
		return "site_number"
	}
	return "site"
}

// siteOf decides which site a record belongs to: what a person put on the
// record itself, then what a person said of the capture, then the printed
// number, then the printed name.
func siteOf(hint string, h record.Header) (key, printed string, sure bool) {
	if h.Site != nil {
		printed = h.Site.String()
	}
	for _, f := range []*record.Field{h.SiteNumber, h.Site} {
		if f != nil && f.Origin == record.Entered && f.String() != "" {
			return SiteKey(f.String()), printed, f.Sure // a folder's word may be in doubt, a person's is sure
		}
	}
	if hint != "" {
		return SiteKey(hint), printed, true
	}
	for _, f := range []*record.Field{h.SiteNumber, h.Site} {
		if f != nil && f.String() != "" {
			return SiteKey(f.String()), printed, f.Sure
		}
	}
	return "", printed, false
}
