//go:build unix

package ffmpeg

import (
	"os"
	"syscall"
)

// nice is how much a run in the background gives way, of 19.
const nice = 15

// yield has a process give way to others.
func yield(p *os.Process) {
	_ = syscall.Setpriority(syscall.PRIO_PROCESS, p.Pid, nice) // where it may not, it is only slower for others
}

// tie changes nothing here: see ownGroup.
func tie(*os.Process) {}
