//go:build unix

package ffmpeg

import "syscall"

func ownGroup() *syscall.SysProcAttr { return &syscall.SysProcAttr{Setpgid: true} }
