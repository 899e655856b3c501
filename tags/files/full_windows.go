package files

import "golang.org/x/sys/windows"

// noRoom is what the system says where nothing more can be written: the disk, a quota or the
// size of a file is at its end.
var noRoom = []error{
	windows.ERROR_DISK_FULL, windows.ERROR_HANDLE_DISK_FULL, windows.ERROR_DISK_QUOTA_EXCEEDED, windows.ERROR_FILE_TOO_LARGE,
}
