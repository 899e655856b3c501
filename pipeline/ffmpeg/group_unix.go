//go:build unix && !linux

package ffmpeg

import "syscall"

func ownGroup() *syscall.SysProcAttr { return &syscall.SysProcAttr{Setpgid: true} }
