// Trenchcut reads what a staff tagged in its games and answers questions about the pass
// rush: with lists, with numbers, and with reels cut from the film.
package main

import "os"

func main() { os.Exit(run(os.Args[1:], systemStreams())) }
