package recognise

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"

	"github.com/otiai10/gosseract/v2"
)

// The child knows by these that it is one, and where its data are.
const (
	envWorker   = "TANKROLL_OCR_WORKER"
	envTessdata = "TANKROLL_OCR_TESSDATA"
)

// replyFile is the child's descriptor for replies. Standard output is left
// alone: native code may print there.
const replyFile = 3

// maxFrame bounds a message both ways: 80 million pixels and a header.
const maxFrame = 80<<20 + 64

// RunWorkerIfAsked turns this process into a recognition worker when its
// parent started it as one, and then never returns. Otherwise it does nothing.
func RunWorkerIfAsked() {
	if os.Getenv(envWorker) == "" {
		return
	}
	// A terminal sends Ctrl-C to children too; when to end is the parent's word.
	signal.Ignore(os.Interrupt)
	if err := serve(os.Stdin, os.NewFile(replyFile, "replies"), os.Getenv(envTessdata)); err != nil {
		fmt.Fprintln(os.Stderr, "recognition worker:", err)
		os.Exit(1)
	}
	os.Exit(0)
}

// serve answers requests until its input ends, which is also how a worker
// whose parent died comes to its end.
func serve(in io.Reader, out io.Writer, tessdata string) error {
	client, err := newClient(tessdata)
	if err != nil {
		return err
	}
	defer client.Close()
	r, w := bufio.NewReaderSize(in, 1<<16), bufio.NewWriter(out)
	for {
		msg, err := readFrame(r)
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if err := writeFrame(w, answer(client, msg)); err != nil {
			return err
		}
		if err := w.Flush(); err != nil {
			return err
		}
	}
}

func newClient(tessdata string) (*gosseract.Client, error) {
	client := gosseract.NewClient()
	if err := client.SetTessdataPrefix(tessdata); err != nil {
		return nil, err
	}
	if err := client.SetLanguage(language); err != nil {
		return nil, err
	}
	config, err := dictionariesOff()
	if err != nil {
		return nil, err
	}
	defer os.Remove(config)
	if err := client.SetConfigFile(config); err != nil {
		return nil, err
	}
	for k, v := range map[string]string{
		"hocr_char_boxes":  "1",
		"debug_file":       os.DevNull,
		"user_defined_dpi": "300",
	} {
		if err := client.SetVariable(gosseract.SettableVariable(k), v); err != nil {
			return nil, err
		}
	}
	// The first call loads the model; a blank picture makes it do so now.
	if err := client.SetImageFromBytes(pgm(8, 8, make([]byte, 64))); err != nil {
		return nil, err
	}
	_, err = client.HOCRText()
	return client, err
}

// dictionariesOff writes the settings that count only while the model loads.
// Slips are numbers and abbreviations: the words of a language pull them
// towards what was not printed.
func dictionariesOff() (string, error) {
	f, err := os.CreateTemp("", "tankroll-ocr-*.config")
	if err != nil {
		return "", err
	}
	_, err = f.WriteString("load_system_dawg 0\nload_freq_dawg 0\nload_punc_dawg 0\nload_number_dawg 0\nload_bigram_dawg 0\n")
	return f.Name(), errors.Join(err, f.Close())
}

// A request is the page mode, width, height and the pixels; an answer is a
// status byte and hOCR or the error's text.
const requestHeader = 12

const (
	statusDone   = 0
	statusFailed = 1
)

func answer(client *gosseract.Client, msg []byte) []byte {
	hocr, err := recognise(client, msg)
	if err != nil {
		return append([]byte{statusFailed}, err.Error()...)
	}
	return append([]byte{statusDone}, hocr...)
}

func recognise(client *gosseract.Client, msg []byte) (string, error) {
	if len(msg) < requestHeader {
		return "", fmt.Errorf("request of %d bytes", len(msg))
	}
	mode := binary.LittleEndian.Uint32(msg)
	w, h := int(binary.LittleEndian.Uint32(msg[4:])), int(binary.LittleEndian.Uint32(msg[8:]))
	pix := msg[requestHeader:]
	if w <= 0 || h <= 0 || len(pix) != w*h {
		return "", fmt.Errorf("request for %d x %d pixels holds %d", w, h, len(pix))
	}
	if err := client.SetVariable("tessedit_pageseg_mode", fmt.Sprint(mode)); err != nil {
		return "", err
	}
	if err := client.SetImageFromBytes(pgm(w, h, pix)); err != nil {
		return "", err
	}
	return client.HOCRText()
}

func pgm(w, h int, pix []byte) []byte {
	return append(fmt.Appendf(nil, "P5\n%d %d\n255\n", w, h), pix...)
}

func readFrame(r io.Reader) ([]byte, error) {
	var head [4]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return nil, err
	}
	n := binary.LittleEndian.Uint32(head[:])
	if n > maxFrame {
		return nil, fmt.Errorf("message of %d bytes", n)
	}
	msg := make([]byte, n)
	if _, err := io.ReadFull(r, msg); err != nil {
		return nil, fmt.Errorf("message cut short: %w", errors.Join(err, io.ErrUnexpectedEOF))
	}
	return msg, nil
}

func writeFrame(w io.Writer, msg []byte) error {
	if _, err := w.Write(binary.LittleEndian.AppendUint32(nil, uint32(len(msg)))); err != nil {
		return err
	}
	_, err := w.Write(msg)
	return err
}
