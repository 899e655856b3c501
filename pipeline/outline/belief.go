package outline

import "math"

// chances are the likelihoods, as natural logarithms, that a row and a take belong together or
// stand alone. Each row and each take is either in one pair or alone.
type chances struct {
	pair  func(row, take int) float64
	row   func(row int) float64  // no film shows the row
	take  func(take int) float64 // the sheet has no row of the take
	apart func(r, t, row, take int) float64
}

// fit is the row that a take most probably shows.
type fit struct {
	row, take int     // take is -1 where no film shows the row
	wrong     float64 // how probable it is that the row is on another take, or on none
}

// fits sums over all ways to pair n rows with m takes in order (the forward-backward algorithm:
// Rabiner, Proc. IEEE 77, 1989, 257–286), so that a way that is nearly as likely in many
// variants counts as much as they do together. The pairing is the likeliest one.
func fits(n, m int, c chances) []fit {
	l := newLattice(n, m, c)
	l.forward()
	l.backward()
	chosen := l.likeliest()
	list := make([]fit, n)
	for row := range n {
		list[row] = fit{row: row, take: -1}
	}
	for _, p := range chosen {
		list[p[0]] = fit{p[0], p[1], 1 - math.Exp(l.ahead[p[0]][p[1]]+l.behind[p[0]][p[1]]-l.all)}
	}
	return list
}

// lattice is the pairs of rows and takes, each with what leads to it and what follows.
type lattice struct {
	chances
	n, m, most    int         // most is how many may stand alone between two pairs
	rows, takes   []float64   // sums of row and take up to each
	ahead, behind [][]float64 // all ways up to a pair, it included, and all ways behind it
	all           float64
}

// leastAlone is the least that may be the bound on rows, and on takes, that stand alone between two
// pairs.
const leastAlone = 6

func newLattice(n, m int, c chances) *lattice {
	l := &lattice{chances: c, n: n, m: m, most: leastAlone + min(max(n-m, m-n), 4*leastAlone)}
	l.rows, l.takes = make([]float64, n+1), make([]float64, m+1)
	for i := range n {
		l.rows[i+1] = l.rows[i] + c.row(i)
	}
	for j := range m {
		l.takes[j+1] = l.takes[j] + c.take(j)
	}
	l.ahead, l.behind = table(n, m), table(n, m)
	return l
}

// alone is the likelihood that the rows from a up to b, and the takes from s up to t, all stand
// alone; b and t are not among them.
func (l *lattice) alone(a, b, s, t int) float64 {
	return l.rows[b] - l.rows[a] + l.takes[t] - l.takes[s]
}

// before calls use with each pair that may be the last before row i and take j, and with -1, -1 for
// none. Between is the likelihood of what lies between.
func (l *lattice) before(i, j int, use func(r, t int, between float64)) {
	use(-1, -1, l.alone(0, i, 0, j))
	for r := i - 1; r >= max(0, i-1-l.most); r-- {
		for t := j - 1; t >= max(0, j-1-l.most); t-- {
			use(r, t, l.alone(r+1, i, t+1, j)+l.apart(r, t, i, j))
		}
	}
}

func (l *lattice) forward() {
	ends := logSum{}
	ends.add(l.alone(0, l.n, 0, l.m))
	for i := range l.n {
		for j := range l.m {
			var sum logSum
			l.before(i, j, func(r, t int, between float64) {
				if r >= 0 {
					between += l.ahead[r][t]
				}
				sum.add(between)
			})
			l.ahead[i][j] = sum.value() + l.pair(i, j)
			ends.add(l.ahead[i][j] + l.alone(i+1, l.n, j+1, l.m))
		}
	}
	l.all = ends.value()
}

func (l *lattice) backward() {
	sums := make([][]logSum, l.n)
	for i := range sums {
		sums[i] = make([]logSum, l.m)
	}
	for i := l.n - 1; i >= 0; i-- {
		for j := l.m - 1; j >= 0; j-- {
			sums[i][j].add(l.alone(i+1, l.n, j+1, l.m))
			l.behind[i][j] = sums[i][j].value()
			l.before(i, j, func(r, t int, between float64) {
				if r >= 0 {
					sums[r][t].add(between + l.pair(i, j) + l.behind[i][j])
				}
			})
		}
	}
}

// likeliest is the pairs of the one likeliest way (Viterbi).
func (l *lattice) likeliest() [][2]int {
	best := table(l.n, l.m)
	from := make([][][2]int, l.n)
	last, most := [2]int{-1, -1}, l.alone(0, l.n, 0, l.m)
	for i := range l.n {
		from[i] = make([][2]int, l.m)
		for j := range l.m {
			best[i][j] = math.Inf(-1)
			l.before(i, j, func(r, t int, between float64) {
				if r >= 0 {
					between += best[r][t]
				}
				if between > best[i][j] {
					best[i][j], from[i][j] = between, [2]int{r, t}
				}
			})
			best[i][j] += l.pair(i, j)
			if whole := best[i][j] + l.alone(i+1, l.n, j+1, l.m); whole > most {
				last, most = [2]int{i, j}, whole
			}
		}
	}
	var pairs [][2]int
	for last[0] >= 0 {
		pairs = append(pairs, last)
		last = from[last[0]][last[1]]
	}
	return pairs
}

// logSum adds numbers of which it has the logarithms.
type logSum struct {
	most, rest float64 // rest is the sum in units of the largest
	begun      bool
}

func (s *logSum) add(x float64) {
	switch {
	case math.IsInf(x, -1):
	case !s.begun:
		s.most, s.rest, s.begun = x, 1, true
	case x > s.most:
		s.rest = s.rest*math.Exp(s.most-x) + 1
		s.most = x
	case x > s.most-40: // less changes no digit
		s.rest += math.Exp(x - s.most)
	}
}

func (s *logSum) value() float64 {
	if !s.begun {
		return math.Inf(-1)
	}
	return s.most + math.Log(s.rest)
}
