package recognise

import (
	"os"
	"testing"
)

func TestMain(m *testing.M) {
	RunWorkerIfAsked()
	os.Exit(m.Run())
}
