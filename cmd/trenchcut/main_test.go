package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/session"
	"trenchcut/tags/files"
)

var update = flag.Bool("update", false, "rewrite what scripts compare with")

// TestMain gives scripts the command trenchcut, and BenchmarkSeason its measure.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"trenchcut": main, "decode": decodeSeason})
}

func TestScripts(t *testing.T) {
	const dir = "testdata/script"
	scripts, err := filepath.Glob(filepath.Join(dir, "*.txtar"))
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts in %s: %v", dir, err)
	}
	testscript.Run(t, scriptsWith(t, scripts, nil))
}

// scriptsWith runs scripts with what they may use; more, if any, is done before each.
func scriptsWith(t *testing.T, scripts []string, more func(*testscript.Env)) testscript.Params {
	return testscript.Params{
		Files:               scripts,
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv(session.CacheVariable, filepath.Join(env.WorkDir, ".cache"))
			env.Setenv("GORACE", "atexit_sleep_ms=0") // a second otherwise, at every command
			// For scripts that take the PATH away.
			program, err := exec.LookPath("trenchcut")
			env.Setenv("TRENCHCUT", program)
			if more != nil {
				more(env)
			}
			return err
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "film": films{dir: t.TempDir(), made: map[string]func() (string, error){}, Mutex: &sync.Mutex{}}.film, "cutshort": cutShort, "waitfor": waitFor, "empty": empty, "picture": makePicture, "proved": proved,
		},
	}
}

// exits is "exits 3 trenchcut check": run a command and expect its exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits code command [argument…]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// films are made once for all scripts.
type films struct {
	dir  string
	made map[string]func() (path string, err error) // by how they are made
	*sync.Mutex
}

// film is "film season/ez.mp4 9000 30000/1001": a real film, tiny and plain, or with
// -large one that takes its time.
func (f films) film(ts *testscript.TestScript, neg bool, args []string) {
	picture := "color=c=gray:s=64x36"
	if len(args) == 4 && args[0] == "-large" {
		picture, args = "testsrc2=s=640x360", args[1:]
	}
	if neg || len(args) != 3 {
		ts.Fatalf("usage: film [-large] file frames rate")
	}
	source := []string{"-f", "lavfi", "-i", picture + ":r=" + args[2], "-frames:v", args[1]}
	path := ts.MkAbs(args[0])
	key := fmt.Sprint(source, filepath.Ext(path))
	f.Lock()
	if f.made[key] == nil {
		made := filepath.Join(f.dir, strconv.Itoa(len(f.made))+filepath.Ext(path))
		f.made[key] = sync.OnceValues(func() (string, error) {
			tool, err := ffmpeg.Find()
			if err != nil {
				return "", err
			}
			return made, tool.Run(context.Background(), append(source,
				"-c:v", "libx264", "-preset", "ultrafast", "-g", "600", "-pix_fmt", "yuv420p", "-movflags", "+faststart", "file:"+made), nil, nil)
		})
	}
	once := f.made[key]
	f.Unlock()
	made, err := once()
	ts.Check(err)
	data, err := os.ReadFile(made)
	ts.Check(err)
	ts.Check(os.MkdirAll(filepath.Dir(path), 0o777))
	ts.Check(os.WriteFile(path, data, 0o666)) // a copy of its own: scripts change films
}

// makePicture is "picture logo.png 300 200": a plain PNG that says who made it.
func makePicture(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: picture file width height")
	}
	var size [2]int
	for i := range size {
		n, err := strconv.Atoi(args[i+1])
		ts.Check(err)
		size[i] = n
	}
	var data bytes.Buffer
	ts.Check(png.Encode(&data, image.NewGray(image.Rect(0, 0, size[0], size[1]))))
	const head = 8 + 4 + 4 + 13 + 4 // signature and IHDR
	body := []byte("tEXtAuthor\x00Ike Okafor")
	text := binary.BigEndian.AppendUint32(nil, uint32(len(body)-len("tEXt")))
	text = binary.BigEndian.AppendUint32(append(text, body...), crc32.ChecksumIEEE(body))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), slices.Insert(data.Bytes(), head, text...), 0o666))
}

// proved is "proved h264_vaapi": doctor is said to have seen that encoder working.
func proved(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: proved encoder")
	}
	file := filepath.Join(ts.Getenv(session.CacheVariable), "encoders.json")
	data, err := files.ReadSealed(file, 1<<20)
	ts.Check(err)
	p := map[string]any{}
	ts.Check(json.Unmarshal(data, &p))
	p["proved"] = args
	data, err = json.Marshal(p)
	ts.Check(err)
	ts.Check(files.WriteSealed(file, data))
}

// cutShort is "cutshort film.mp4": its last two fifths are gone, and its tables do not know.
func cutShort(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: cutshort file")
	}
	info, err := os.Stat(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), info.Size()*3/5))
}

// waitFor is "waitfor pattern": until some file is there, at most ten minutes.
func waitFor(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: waitfor pattern")
	}
	for range 60_000 {
		files, err := filepath.Glob(ts.MkAbs(args[0]))
		ts.Check(err)
		if len(files) > 0 {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	ts.Fatalf("nothing is at %s", args[0])
}

// empty is "empty pattern": no file is there, nor in folders that are.
func empty(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: empty pattern")
	}
	found, err := filepath.Glob(ts.MkAbs(args[0]))
	ts.Check(err)
	for _, path := range found {
		if inside, err := os.ReadDir(path); err != nil || len(inside) > 0 {
			ts.Fatalf("%s is there, holding %v", path, inside)
		}
	}
}
