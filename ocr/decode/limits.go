package decode

// Limits bounds what is decoded. Zero fields mean the defaults.
type Limits struct {
	Bytes  int64 // of the file
	Pixels int   // of one page, and of any picture on it
	Pages  int   // of one file
}

// The default limits.
const (
	defaultBytes  = 64 << 20 // a 600 dpi A4 colour scan as PNG is about 50 MB
	defaultPixels = 80e6     // 600 dpi A4 is 35 MP, phones make up to 50 MP
	defaultPages  = 200      // a year of weekly reports in one file is 52
)

// WithDefaults fills zero fields with the defaults.
func (l Limits) WithDefaults() Limits {
	if l.Bytes <= 0 {
		l.Bytes = defaultBytes
	}
	if l.Pixels <= 0 {
		l.Pixels = defaultPixels
	}
	if l.Pages <= 0 {
		l.Pages = defaultPages
	}
	return l
}

func mega(bytes int64) float64 { return float64(bytes) / (1 << 20) }
