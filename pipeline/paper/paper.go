// Package paper prints pages as PDF, by a Chromium of this machine.
package paper

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// ErrNone says that there is no Chromium, nor a browser that is made of one.
var ErrNone = errors.New("no Chromium, Chrome or Edge is here, and one of them is what prints")

// Printer is a Chromium that prints; Path is its program.
type Printer struct{ Path string }

// Find is the printer of this machine; it fails with [ErrNone].
func Find() (Printer, error) {
	for _, name := range places(runtime.GOOS, os.Getenv) {
		if path, err := exec.LookPath(name); err == nil {
			return Printer{path}, nil
		}
	}
	return Printer{}, ErrNone
}

// places lists the names of a Chromium on a system, and the paths where it is installed there when
// it is not on the path (common practice).
func places(system string, getenv func(string) string) []string {
	list := []string{"chromium", "chromium-browser", "google-chrome"}
	switch system {
	case "windows":
		list = append(list, "chrome", "msedge")
		for _, folder := range []string{"ProgramFiles", "ProgramFiles(x86)", "LocalAppData"} {
			if root := getenv(folder); root != "" {
				list = append(list, root+`\Google\Chrome\Application\chrome.exe`, root+`\Microsoft\Edge\Application\msedge.exe`)
			}
		}
	case "darwin":
		for _, name := range []string{"Google Chrome", "Chromium", "Microsoft Edge"} {
			list = append(list, "/Applications/"+name+".app/Contents/MacOS/"+name)
		}
	}
	return list
}

// address is a file's as browsers take it: with a slash before a drive, and no letter that means
// something else in an address.
func address(file string) string {
	file = filepath.ToSlash(file)
	return (&url.URL{Scheme: "file", Path: "/" + strings.TrimPrefix(file, "/")}).String()
}

// patience is how long one page may take.
const patience = time.Minute

// PDF prints a page that needs nothing but itself, on the paper that its own style names.
func (p Printer) PDF(ctx context.Context, page []byte) ([]byte, error) {
	dir, err := os.MkdirTemp("", "trenchcut-paper-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	from, to := filepath.Join(dir, "page.html"), filepath.Join(dir, "page.pdf")
	if err := os.WriteFile(from, page, 0o600); err != nil {
		return nil, err
	}
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	args := []string{
		"--headless", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--disable-extensions", "--disable-background-networking",
		"--user-data-dir=" + filepath.Join(dir, "profile"), "--no-pdf-header-footer", "--print-to-pdf=" + to,
	}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // it will not start as root with one
	}
	cmd := exec.CommandContext(ctx, p.Path, append(args, address(from))...)
	cmd.WaitDelay = 5 * time.Second
	said, err := cmd.CombinedOutput()
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	pdf, errRead := os.ReadFile(to)
	if err != nil || errRead != nil || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		lines := strings.Split(strings.TrimSpace(string(said)), "\n")
		return nil, fmt.Errorf("%s printed nothing: %s: %w", filepath.Base(p.Path), lines[len(lines)-1], errors.Join(err, errRead))
	}
	return pdf, nil
}
