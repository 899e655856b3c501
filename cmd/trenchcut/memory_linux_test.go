package main

import (
	"os"
	"syscall"
)

// mostMegabytes is the most memory a process that has ended held at once, in MB.
func mostMegabytes(p *os.ProcessState) float64 {
	return float64(p.SysUsage().(*syscall.Rusage).Maxrss) / 1024 // kB on Linux
}
