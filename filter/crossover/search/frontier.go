package search

// Progress is how far a search is with the circuits of so many parts: each is to be
// sketched, and then to be optimised or left, in both polarities.
type Progress struct {
	Parts    int
	Done, Of int
	Flatness float64 // the least so far with at most Parts parts, dB; infinite if there is none
}

// A Frontier is what a number of parts can do.
type Frontier struct {
	// Best has at index n the best circuits of n parts that keep all limits, flattest
	// first, at most as many as were to be kept. Those that are not flatter than the
	// best with fewer parts are left out, so an empty list says that part n is wasted.
	Best [][]Choice

	// Nearest is given if no circuit keeps the limits: the one that breaks them least.
	Nearest *Choice

	Certificate Certificate
}

// Flattest returns the flattest of all, or false if there is none.
func (f Frontier) Flattest() (Choice, bool) {
	for n := len(f.Best) - 1; n >= 0; n-- {
		if len(f.Best[n]) > 0 {
			return f.Best[n][0], true
		}
	}
	return Choice{}, false
}

// A Certificate counts what a search has done. Index n of the slices counts circuits
// of n parts, each polarity for itself. How many evaluations a fit took hangs on the
// last bits of a machine, while the choices agreed on all that were compared: amd64 with
// and without fused products, and 386.
type Certificate struct {
	Enumerated  []int // by the grammar
	Pruned      []int // sketched only: the sketch, with limits that give way, was not flat enough to compete
	Optimised   []int // fitted from several starts, then settled on the shelf if there is one
	Starts      int   // fits begun
	Evaluations int   // of all networks on a grid, in fits; and on the shelf
	Complete    bool  // false if the search was stopped
}
