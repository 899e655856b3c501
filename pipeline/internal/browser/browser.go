// Package browser tries pages in a Chromium without a window, for tests.
package browser

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"trenchcut/pipeline/paper"
)

// Browser is a Chromium with one page, spoken to over a pipe by the Chrome DevTools
// Protocol: messages of JSON, each ended by a NUL.
type Browser struct {
	// T is the test that runs.
	T *testing.T
	// Asked is every address that was fetched since Start.
	Asked []string

	in       *os.File
	out      *bufio.Reader
	last     atomic.Int64
	session  string
	window   string   // the session of the window that a page has opened
	targets  []string // the pages of the test
	sessions []string // of the pages that the test spoke to
	end      func()
}

// shared is the browser of all tests of a package, once one has asked for it.
var shared *Browser

// End ends the browser that tests started; TestMain calls it.
func End() {
	if shared != nil {
		shared.end()
	}
}

// Start is the browser of all tests of a package with one empty page of the test's own; it
// skips the test where there is no Chromium. Tests that use it do not run in parallel.
func Start(t *testing.T) *Browser {
	t.Helper()
	if shared == nil {
		shared = newBrowser(t)
	}
	b := shared
	b.T, b.Asked, b.sessions = t, nil, nil
	b.attach()
	t.Cleanup(func() {
		b.T, b.session = t, ""
		for _, target := range b.targets {
			b.Must("Target.closeTarget", map[string]any{"targetId": target}, nil)
		}
		b.targets = nil
	})
	return b
}

// attach opens an empty page and speaks to it from then on.
func (b *Browser) attach() {
	b.T.Helper()
	b.session = ""
	var made struct{ TargetID string }
	b.Must("Target.createTarget", map[string]any{"url": "about:blank"}, &made)
	b.join(made.TargetID)
}

// InWindow does what is to be done in the window that the page has opened, and speaks to the page again.
func (b *Browser) InWindow(do func()) {
	b.T.Helper()
	first := b.session
	defer func() { b.session = first }()
	for range 200 {
		b.session = ""
		var found struct {
			TargetInfos []struct{ TargetID, Type, OpenerID string }
		}
		b.Must("Target.getTargets", nil, &found)
		for _, target := range found.TargetInfos {
			if target.Type == "page" && target.OpenerID != "" && slices.Contains(b.targets, target.OpenerID) {
				if !slices.Contains(b.targets, target.TargetID) {
					b.join(target.TargetID)
					b.window = b.session
				}
				b.session = b.window
				do()
				return
			}
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.T.Fatal("the page opened no window")
}

// join speaks to a page from then on.
func (b *Browser) join(target string) {
	b.T.Helper()
	b.targets = append(b.targets, target)
	var joined struct{ SessionID string }
	b.Must("Target.attachToTarget", map[string]any{"targetId": target, "flatten": true}, &joined)
	b.session = joined.SessionID
	b.sessions = append(b.sessions, b.session)
	for _, domain := range []string{"Page", "Runtime", "Network"} {
		b.Must(domain+".enable", nil, nil)
	}
}

// newBrowser starts one for the length of all tests.
func newBrowser(t *testing.T) *Browser {
	t.Helper()
	program, err := paper.Find()
	if err != nil {
		t.Skipf("the page is not tried in a browser: %v", err)
	}
	profile, err := os.MkdirTemp("", "page-browser-")
	if err != nil {
		t.Fatal(err)
	}
	theirIn, in, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	out, theirOut, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program.Path, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
		"--mute-audio", "--hide-scrollbars", "--remote-debugging-pipe", "--user-data-dir="+profile, "about:blank")
	cmd.ExtraFiles = []*os.File{theirIn, theirOut} // 3 and 4, as Chromium has it
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	_, _ = theirIn.Close(), theirOut.Close()
	b := &Browser{in: in, out: bufio.NewReader(out)}
	stop := time.AfterFunc(15*time.Minute, func() { _ = cmd.Process.Kill() })
	b.end = func() {
		stop.Stop()
		b.session = ""
		_, _ = b.call("Browser.close", nil)
		done := make(chan struct{})
		go func() {
			_ = cmd.Wait() // it may have been killed
			close(done)
		}()
		select {
		case <-done:
		case <-time.After(time.Minute):
			_ = cmd.Process.Kill()
			<-done
		}
		_, _ = in.Close(), out.Close()
		_ = os.RemoveAll(profile)
	}
	return b
}

// call sends one message and waits for its answer.
func (b *Browser) call(method string, params any) (json.RawMessage, error) {
	id := b.last.Add(1)
	message := map[string]any{"id": id, "method": method}
	if params != nil {
		message["params"] = params
	}
	if b.session != "" {
		message["sessionId"] = b.session
	}
	data, err := json.Marshal(message)
	if err != nil {
		return nil, err
	}
	if _, err := b.in.Write(append(data, 0)); err != nil {
		return nil, err
	}
	for {
		data, err := b.out.ReadBytes(0)
		if err != nil {
			return nil, err
		}
		var got struct {
			ID        int64
			Method    string
			SessionID string
			Params    struct{ Request struct{ URL string } }
			Result    json.RawMessage
			Error     *struct{ Message string }
		}
		if err := json.Unmarshal(data[:len(data)-1], &got); err != nil {
			return nil, err
		}
		// A page of the test before may tell of what it asked for after it was closed.
		if got.Method == "Network.requestWillBeSent" && slices.Contains(b.sessions, got.SessionID) {
			b.Asked = append(b.Asked, got.Params.Request.URL)
		}
		switch {
		case got.ID != id:
		case got.Error != nil:
			return nil, errors.New(got.Error.Message)
		default:
			return got.Result, nil
		}
	}
}

// Crash ends the process that shows the page, as the system does where memory runs out, and
// gives the test an empty page in its place.
func (b *Browser) Crash() {
	b.T.Helper()
	b.Must("Inspector.enable", nil, nil)
	message, err := json.Marshal(map[string]any{"id": b.last.Add(1), "method": "Page.crash", "sessionId": b.session})
	if err == nil {
		_, err = b.in.Write(append(message, 0))
	}
	for err == nil {
		var data []byte
		if data, err = b.out.ReadBytes(0); err != nil {
			break
		}
		if bytes.Contains(data, []byte(`"Inspector.targetCrashed"`)) {
			b.attach()
			return
		}
	}
	b.T.Fatalf("crash the page: %v", err)
}

// Must calls a method of the protocol with params, and reads its result into into.
func (b *Browser) Must(method string, params, into any) {
	b.T.Helper()
	result, err := b.call(method, params)
	if err == nil && into != nil {
		err = json.Unmarshal(result, into)
	}
	if err != nil {
		b.T.Fatalf("%s: %v", method, err)
	}
}

// Eval runs a script in the page, waits for what it promises, and reads it into into.
func (b *Browser) Eval(script string, into any) {
	b.T.Helper()
	if err := b.eval(script, into); err != nil {
		b.T.Fatalf("%s: %v", script, err)
	}
}

func (b *Browser) eval(script string, into any) error {
	answer, err := b.call("Runtime.evaluate", map[string]any{"expression": script, "awaitPromise": true, "returnByValue": true, "userGesture": true})
	if err != nil {
		return err
	}
	var got struct {
		Result           struct{ Value json.RawMessage }
		ExceptionDetails *struct {
			Text      string
			Exception struct{ Description string }
		}
	}
	if err := json.Unmarshal(answer, &got); err != nil {
		return err
	}
	if e := got.ExceptionDetails; e != nil {
		return fmt.Errorf("%s %s", e.Text, e.Exception.Description)
	}
	if into == nil {
		return nil
	}
	return json.Unmarshal(got.Result.Value, into)
}

// away is what Chromium says of a script whose page went meanwhile, as one does that leads to another.
var away = []string{"Inspected target navigated or closed", "Execution context was destroyed", "Cannot find default execution context"}

// Wait waits until a condition holds, at most two minutes. The page may go to another meanwhile.
func (b *Browser) Wait(condition string) {
	b.T.Helper()
	for range 2400 {
		var ok bool
		err := b.eval("!!("+condition+")", &ok)
		if err != nil && !slices.ContainsFunc(away, func(said string) bool { return strings.Contains(err.Error(), said) }) {
			b.T.Fatalf("%s: %v", condition, err)
		}
		if ok {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.T.Fatalf("it never came to %s", condition)
}

// windows is how tall a window of a usual width is.
var windows = map[int]int{1280: 900, 1920: 1080}

// Open shows the page at an address in a window of that width.
func (b *Browser) Open(address string, width int) {
	b.T.Helper()
	height := cmp.Or(windows[width], 844)
	b.Must("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600}, nil)
	b.Must("Page.navigate", map[string]any{"url": address}, nil)
	b.Wait(`location.href !== "about:blank" && document.readyState === "complete"`)
}

// Key presses one key.
func (b *Browser) Key(name string) {
	b.T.Helper()
	codes := map[string]int{"Tab": 9, "Enter": 13, "PageUp": 33, "PageDown": 34, "ArrowLeft": 37, "ArrowRight": 39}
	press := map[string]any{"type": "keyDown", "key": name, "code": name, "windowsVirtualKeyCode": codes[name]}
	if name == "Enter" {
		press["text"] = "\r"
	}
	b.Must("Input.dispatchKeyEvent", press, nil)
	b.Must("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": name, "code": name, "windowsVirtualKeyCode": codes[name]}, nil)
}

// Keep writes what the browser drew into the folder that PAGE_PICTURES names, to be
// looked at.
func (b *Browser) Keep(name, method string, params map[string]any) []byte {
	b.T.Helper()
	var got struct{ Data string }
	b.Must(method, params, &got)
	data, err := base64.StdEncoding.DecodeString(got.Data)
	if err != nil {
		b.T.Fatal(err)
	}
	if folder := os.Getenv("PAGE_PICTURES"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o666); err != nil {
			b.T.Fatal(err)
		}
	}
	return data
}

// Screen is a screenshot of what the window shows.
func (b *Browser) Screen(name string) {
	b.T.Helper()
	b.Keep(name, "Page.captureScreenshot", nil)
}

// Picture is a screenshot of the whole page.
func (b *Browser) Picture(name string) {
	b.T.Helper()
	b.Keep(name, "Page.captureScreenshot", map[string]any{"captureBeyondViewport": true})
}
