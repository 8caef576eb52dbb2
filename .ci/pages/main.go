// Pages opens the pages of the example programs in a browser without a window, at three
// widths, and fails on errors in the console, on any request but for the page itself,
// and on pages wider than the window.
//
//	cd .ci/pages && go run . FILE.html...
package main

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

var widths = []int64{390, 820, 1280}

func main() {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU)
	if path := os.Getenv("BROWSER"); path != "" {
		options = append(options, chromedp.ExecPath(path))
	}
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	defer stop()
	failed := false
	for _, file := range os.Args[1:] {
		for _, problem := range look(allocator, file) {
			fmt.Printf("%s: %s\n", file, problem)
			failed = true
		}
	}
	if failed {
		os.Exit(1)
	}
	fmt.Printf("%d pages at %d widths: no errors, no requests, nothing wider than the window.\n", len(os.Args)-1, len(widths))
}

// look opens a page and returns what is wrong with it.
func look(allocator context.Context, file string) (problems []string) {
	path, err := filepath.Abs(file)
	if err != nil {
		return []string{err.Error()}
	}
	page := (&url.URL{Scheme: "file", Path: path}).String()
	tab, stop := chromedp.NewContext(allocator)
	defer stop()
	tab, cancel := context.WithTimeout(tab, time.Minute)
	defer cancel()
	var mutex sync.Mutex
	say := func(format string, args ...any) {
		mutex.Lock()
		defer mutex.Unlock()
		problems = append(problems, fmt.Sprintf(format, args...))
	}
	chromedp.ListenTarget(tab, func(event any) {
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			say("exception: %s", e.ExceptionDetails.Text)
		case *runtime.EventConsoleAPICalled:
			say("console: %s", e.Type)
		case *log.EventEntryAdded:
			say("log: %s", e.Entry.Text)
		case *network.EventRequestWillBeSent:
			if u := e.Request.URL; u != page && !strings.HasPrefix(u, "data:") {
				say("request for %s", u)
			}
		}
	})
	if err := chromedp.Run(tab, network.Enable(), log.Enable(), runtime.Enable()); err != nil {
		return append(problems, err.Error())
	}
	for _, width := range widths {
		var over, headings int
		var picture []byte
		err := chromedp.Run(tab,
			chromedp.EmulateViewport(width, 900),
			chromedp.Navigate(page),
			chromedp.Evaluate(`document.scrollingElement.scrollWidth - window.innerWidth`, &over),
			chromedp.Evaluate(`document.querySelectorAll("h1").length`, &headings),
			chromedp.FullScreenshot(&picture, 50),
		)
		switch {
		case err != nil:
			say("%d wide: %v", width, err)
		case over > 0:
			say("%d wide: %d pixels stand over the edge", width, over)
		case headings != 1:
			say("%d main headings", headings)
		case len(picture) < 5000:
			say("%d wide: an empty picture", width)
		}
	}
	mutex.Lock()
	defer mutex.Unlock()
	return problems
}
