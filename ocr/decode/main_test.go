package decode

import (
	"os"
	"testing"
)

// testDecoder is shared by the tests, so that its child starts once.
var testDecoder = New()

func TestMain(m *testing.M) {
	RunWorkerIfAsked()
	code := m.Run()
	testDecoder.Close()
	os.Exit(code)
}
