package cohort

import (
	"errors"
	"io/fs"
	"os"
	"runtime"
	"syscall"
	"testing"
)

// A file that may not be read. The superuser may read everything, so as such
// the test looks at the file through the eyes of somebody else.
func TestLockedFile(t *testing.T) {
	path := put(t, "locked.csv", "id,j\na,3\n")
	if err := os.Chmod(path, 0); err != nil {
		t.Fatal(err)
	}
	result := make(chan error)
	go func() {
		if os.Geteuid() == 0 {
			runtime.LockOSThread() // not unlocked: the thread ends with the goroutine
			syscall.RawSyscall(syscall.SYS_SETFSUID, 65534, 0, 0)
		}
		_, err := Open(path, nil, Options{NoDictionary: true})
		result <- err
	}()
	if err := <-result; !errors.Is(err, fs.ErrPermission) {
		t.Errorf("got %v", err)
	}
}
