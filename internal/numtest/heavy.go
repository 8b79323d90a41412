package numtest

import (
	"os"
	"testing"
)

// Heavy skips a long simulation unless NOISEFLOOR_SIMULATE is set, as .ci/run sets it:
// `go test ./...` stays short, and CI runs every one.
func Heavy(t *testing.T) {
	t.Helper()
	if os.Getenv("NOISEFLOOR_SIMULATE") == "" {
		t.Skip("a long simulation: NOISEFLOOR_SIMULATE=1 runs it, as .ci/run does")
	}
}
