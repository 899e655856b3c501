package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// windowsFFmpeg names the environment variable of the folder that holds ffmpeg.exe.
const windowsFFmpeg = "TRENCHCUT_WINDOWS_FFMPEG"

const mingw = "x86_64-w64-mingw32-gcc"

// prng is bcryptprimitives.dll, which Go needs and Wine 8 lacks.
const prng = `
int __stdcall SystemFunction036(void *to, unsigned long n); // RtlGenRandom
__declspec(dllexport) int __stdcall ProcessPrng(void *to, unsigned long long n) { return SystemFunction036(to, n); }
`

// holder is a program that has a file open until a file of the name gone is there. Others may
// read it, and with the word write also write to it, as they may what a player shows.
const holder = `
#include <stdio.h>
#include <windows.h>
int main(int n, char **args) {
	DWORD others = FILE_SHARE_READ | (n > 2 ? FILE_SHARE_WRITE : 0);
	if (CreateFileA(args[1], GENERIC_READ, others, NULL, OPEN_EXISTING, 0, NULL) == INVALID_HANDLE_VALUE) return 1;
	fclose(fopen("held", "w"));
	for (int i = 0; i < 6000 && GetFileAttributesA("gone") == INVALID_FILE_ATTRIBUTES; i++) Sleep(10);
	return 0;
}
`

// shared is the scripts of the command that are run on Windows as well: those of what Windows
// may do otherwise. They must not ask for what only Unix has, nor that a folder of work is gone, which
// Wine 8 lacks the call for.
var shared = []string{"exchange_reps", "import_again", "outline"}

// TestWine builds the program for Windows and runs scripts with it in a Windows of its own, which
// Wine makes: those in testdata/wine, and the shared ones.
func TestWine(t *testing.T) {
	if testing.Short() {
		t.Skip("make windows tries it")
	}
	for _, needed := range []string{"wine", "wineboot", "wineserver", mingw} {
		if _, err := exec.LookPath(needed); err != nil {
			t.Skipf("no %s: make windows installs it", needed)
		}
	}
	folder := os.Getenv(windowsFFmpeg)
	if _, err := os.Stat(filepath.Join(folder, "ffmpeg.exe")); folder != "" && err != nil {
		t.Fatalf("%s: %v", windowsFFmpeg, err)
	}
	w := openWine(t, folder)
	scripts, err := filepath.Glob("testdata/wine/*.txtar")
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts for Wine: %v", err)
	}
	for _, name := range shared {
		if name == "outline" && folder == "" {
			continue // it looks at film
		}
		scripts = append(scripts, filepath.Join("testdata/script", name+".txtar"))
	}
	p := scriptsWith(t, scripts, w.setup)
	p.Condition = func(name string) (bool, error) {
		if name != "ffmpeg" {
			return false, fmt.Errorf("unknown condition %q", name)
		}
		return folder != "", nil
	}
	w.tests()
	testscript.Run(t, p)
}

var (
	testName = regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	// Wine lacks the call by which Go removes files, so a test that is done well fails as it clears
	// its folder. What a test says for itself has the name of its file.
	testSays = regexp.MustCompile(`(?m)^.*_test\.go:\d+: .*$|^panic: .*$`)
)

// tests runs the tests of what packages do on Windows alone.
func (w *wine) tests() {
	t := w.t
	files, err := filepath.Glob("../../*/*/*_windows_test.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no tests for Windows: %v", err)
	}
	for _, file := range files {
		source, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, m := range testName.FindAllSubmatch(source, -1) {
			names = append(names, string(m[1]))
		}
		exe := filepath.Join(w.bin, filepath.Base(file)+".exe")
		build := exec.Command("go", "test", "-c", "-vet=off", "-o", exe, "./"+filepath.Dir(file))
		build.Env = append(os.Environ(), "GOOS=windows", "GOARCH=amd64", "CGO_ENABLED=0")
		w.must(build)
		said, err := w.command("wine", exe, "-test.v", "-test.run", "^("+strings.Join(names, "|")+")$").CombinedOutput()
		for _, name := range names {
			if !bytes.Contains(said, []byte("=== RUN   "+name)) || !regexp.MustCompile(`--- \w+: `+name+` `).Match(said) {
				t.Errorf("%s: %s was not run to its end: %v\n%s", file, name, err, said)
			}
		}
		for _, wrong := range testSays.FindAll(said, -1) {
			t.Errorf("%s", wrong)
		}
	}
}

// wine is a Windows, in folders that vanish with the test.
type wine struct {
	t    *testing.T
	bin  string // starters of the programs for Windows, under the names that scripts use
	env  map[string]string
	demo string
}

func openWine(t *testing.T, ffmpeg string) *wine {
	t.Helper()
	demo, err := filepath.Abs("../../templates/demo")
	if err != nil {
		t.Fatal(err)
	}
	prefix := filepath.Join(t.TempDir(), "prefix")
	w := &wine{t: t, bin: t.TempDir(), demo: demo, env: map[string]string{
		"WINEPREFIX": prefix, "WINEDEBUG": "-all",
		// Wine's desktop would hold what the first ffmpeg writes to; the others want to be fetched.
		"WINEDLLOVERRIDES": "explorer.exe,mscoree,mshtml=d",
		"WINEPATH":         onZ(ffmpeg),
	}}
	t.Cleanup(func() { _ = w.command("wineserver", "-k").Run() })
	w.must(w.command("wineboot", "--init"))
	w.compile(prng, filepath.Join(prefix, "drive_c", "windows", "system32", "bcryptprimitives.dll"), "-shared", "-ladvapi32")
	w.compile(holder, w.start("hold"))
	build := exec.Command("go", "build", "-buildvcs=false", "-o", w.start("trenchcut"), ".")
	build.Env = append(os.Environ(), "GOOS=windows", "GOARCH=amd64", "CGO_ENABLED=0")
	w.must(build)
	return w
}

// start makes the starter of a program for Windows, and says where that is to lie.
func (w *wine) start(name string) (exe string) {
	w.t.Helper()
	exe = filepath.Join(w.bin, name+".exe")
	if err := os.WriteFile(filepath.Join(w.bin, name), fmt.Appendf(nil, "#!/bin/sh\nexec wine '%s' \"$@\"\n", exe), 0o777); err != nil {
		w.t.Fatal(err)
	}
	return exe
}

// compile builds for Windows what a C source says.
func (w *wine) compile(source, to string, options ...string) {
	w.t.Helper()
	cmd := exec.Command(mingw, append([]string{"-x", "c", "-o", to, "-"}, options...)...)
	cmd.Stdin = strings.NewReader(source)
	w.must(cmd)
}

func (w *wine) must(cmd *exec.Cmd) {
	w.t.Helper()
	if out, err := cmd.CombinedOutput(); err != nil {
		w.t.Fatalf("%s: %v\n%s", cmd, err, out)
	}
}

func (w *wine) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(name, args...)
	cmd.Env = os.Environ()
	for name, value := range w.env {
		cmd.Env = append(cmd.Env, name+"="+value)
	}
	return cmd
}

// setup has a script run the program for Windows as trenchcut, and that for Linux as $LINUX.
func (w *wine) setup(env *testscript.Env) {
	for name, value := range w.env {
		env.Setenv(name, value)
	}
	env.Setenv("LINUX", env.Getenv("TRENCHCUT"))
	env.Setenv("TRENCHCUT", filepath.Join(w.bin, "trenchcut"))
	env.Setenv("PATH", w.bin+string(os.PathListSeparator)+env.Getenv("PATH"))
	env.Setenv("DEMO", w.demo)
	env.Setenv("Z", onZ(env.WorkDir))
	env.Setenv("COLUMNS", "80")
}

// onZ is a path of Linux as Windows names it, where Wine has all that Linux has on drive Z.
func onZ(path string) string {
	if path == "" {
		return ""
	}
	return "Z:" + strings.ReplaceAll(path, "/", `\`)
}
