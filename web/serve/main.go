// Command serve shows the built site on this machine alone, at
// http://127.0.0.1:8377/, or at a free port where that one is taken.
package main

import (
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"plateau/wasm/edge/card"
)

func main() {
	dir := flag.String("dir", "web/dist", "folder of the built site")
	port := flag.Int("port", 8377, "port to listen on; a free one is used where it is taken, or where this is 0")
	flag.Parse()
	if err := run(*dir, *port); err != nil {
		fmt.Fprintln(os.Stderr, "serve:", err)
		os.Exit(1)
	}
}

func run(dir string, port int) error {
	if _, err := os.Stat(filepath.Join(dir, "index.html")); err != nil {
		return fmt.Errorf("%w; build the site first with 'make build'", err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	files, err := newServer(root.FS())
	if err != nil {
		return err
	}
	l, err := listen(port)
	if err != nil {
		return err
	}
	fmt.Printf("Plateau is at http://%s/\n", l.Addr())
	server := &http.Server{Handler: withCards(files), ReadHeaderTimeout: 10 * time.Second}
	return server.Serve(l)
}

// withCards has the previews of links answered as at the edge.
func withCards(rest http.Handler) http.Handler {
	cards := card.Handler()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, card.Prefix) {
			cards.ServeHTTP(w, r)
			return
		}
		rest.ServeHTTP(w, r)
	})
}

// listen takes the port on the loopback interface, or a free one where that
// port is taken.
func listen(port int) (net.Listener, error) {
	l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err != nil && port != 0 {
		return net.Listen("tcp", "127.0.0.1:0")
	}
	return l, err
}
