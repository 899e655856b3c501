package ffmpeg

import "syscall"

// ownGroup also has the kernel end ffmpeg should this program be killed outright.
func ownGroup() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
}
