package cabinet

// Free returns how many of each entry of the list, counted alone, the layout still
// has room for: at the ends of strips wide enough, and in new strips beside the last
// one of each sheet. They are spares for nothing.
func (s Sheet) Free(list []Piece, l Layout) []int {
	kerf := s.kerf()
	hair := 1e-9 * (s.Length + s.Width)
	length, width := s.Length-s.Trim, s.Width-s.Trim
	ends := make([]float64, l.Sheets) // of the strips, across
	for i := range ends {
		ends[i] = float64(s.Trim)
	}
	for _, t := range l.Strips {
		ends[t.Sheet] = max(ends[t.Sheet], float64(t.Across+t.Width+kerf))
	}
	free := make([]int, len(list))
	for i, p := range list {
		if p.Count == 0 {
			continue
		}
		// How many fit side by side in a length with a kerf between them.
		fit := func(room, size float64) int {
			return max(0, int((room+float64(kerf)+float64(hair))/(size+float64(kerf))))
		}
		alone := func(l1, w1 float64) int {
			n := 0
			for _, t := range l.Strips {
				if float64(t.Width)+float64(hair) >= w1 {
					n += fit(float64(length-t.Used-kerf), l1)
				}
			}
			for _, end := range ends {
				n += fit(float64(width)-end, w1) * fit(float64(length-s.Trim), l1)
			}
			return n
		}
		a, b := alone(float64(p.Length), float64(p.Width)), alone(float64(p.Width), float64(p.Length))
		switch p.Grain {
		case GrainAlong:
			free[i] = a
		case GrainAcross:
			free[i] = b
		default:
			free[i] = max(a, b)
		}
	}
	return free
}
