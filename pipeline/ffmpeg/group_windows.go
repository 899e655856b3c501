package ffmpeg

import (
	"os"
	"sync"
	"syscall"
	"unsafe"

	"golang.org/x/sys/windows"
)

// ownGroup keeps Ctrl-C in the console from ffmpeg.
func ownGroup() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{CreationFlags: windows.CREATE_NEW_PROCESS_GROUP}
}

// yield has a process give way to others.
func yield(p *os.Process) {
	_ = withHandle(p, windows.PROCESS_SET_INFORMATION, func(h windows.Handle) error { // or it is only slower for others
		return windows.SetPriorityClass(h, windows.BELOW_NORMAL_PRIORITY_CLASS)
	})
}

// tie has the system end a process should this program be killed outright.
func tie(p *os.Process) {
	if j := job(); j != 0 {
		_ = withHandle(p, windows.PROCESS_SET_QUOTA|windows.PROCESS_TERMINATE, func(h windows.Handle) error { // or it ends when it cannot tell how it gets on
			return windows.AssignProcessToJobObject(j, h)
		})
	}
}

// job ends the processes in it when this program, which alone has it open, is no more; 0 where
// there can be none.
var job = sync.OnceValue(func() windows.Handle {
	j, err := windows.CreateJobObject(nil, nil)
	if err != nil {
		return 0
	}
	limits := windows.JOBOBJECT_EXTENDED_LIMIT_INFORMATION{
		BasicLimitInformation: windows.JOBOBJECT_BASIC_LIMIT_INFORMATION{LimitFlags: windows.JOB_OBJECT_LIMIT_KILL_ON_JOB_CLOSE},
	}
	if _, err := windows.SetInformationJobObject(j, windows.JobObjectExtendedLimitInformation, uintptr(unsafe.Pointer(&limits)), uint32(unsafe.Sizeof(limits))); err != nil {
		return 0
	}
	return j
})

func withHandle(p *os.Process, access uint32, do func(windows.Handle) error) error {
	h, err := windows.OpenProcess(access, false, uint32(p.Pid))
	if err != nil {
		return err
	}
	defer func() { _ = windows.CloseHandle(h) }()
	return do(h)
}
