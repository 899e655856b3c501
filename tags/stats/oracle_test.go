package stats

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"trenchcut/tags"
)

// R and its package survival compute the same numbers over random data.
func TestAgainstR(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		t.Skip("R is not installed: apt-get install r-base-core r-cran-survival")
	}
	r := rand.New(rand.NewPCG(17, 3))
	var script strings.Builder
	script.WriteString("suppressMessages(library(survival))\nsay <- function(...) cat(format(c(...), digits = 12), '\\n')\n")
	var want [][]float64
	ask := func(code string, ours ...float64) {
		script.WriteString(code)
		want = append(want, ours)
	}

	for range 60 {
		a, b := Count{N: 1 + r.IntN(40)}, Count{N: 1 + r.IntN(40)}
		a.K, b.K = r.IntN(a.N+1), r.IntN(b.N+1)
		ask(fmt.Sprintf("say(fisher.test(matrix(c(%d, %d, %d, %d), 2))$p.value)\n", a.K, a.N-a.K, b.K, b.N-b.K), Fisher(a, b))
		low, high := a.Interval()
		// Wilson's interval, without the correction for continuity.
		ask(fmt.Sprintf("say(suppressWarnings(prop.test(%d, %d, correct = FALSE))$conf.int)\n", a.K, a.N), low, high)
	}
	for range 30 {
		df := 1 + r.IntN(200)
		ask(fmt.Sprintf("say(qt(.975, %d))\n", df), student(df))
		times := make([]float64, 5+r.IntN(30))
		texts := make([]string, len(times))
		for i := range times {
			times[i] = float64(100+r.IntN(200)) / 1000
			texts[i] = fmt.Sprint(times[i])
		}
		slices.Sort(times)
		marks := make([]measure, len(times))
		for i := range times {
			marks[i].at = times[i]
		}
		s := spread(marks)
		ask(fmt.Sprintf("a <- c(%s)\nsay(mean(a), t.test(a)$conf.int, sd(a))\n", strings.Join(texts, ",")), *s.Mean, *s.Low, *s.High, *s.SD)
	}
	for range 60 {
		a, b := randomWatches(r), randomWatches(r)
		script.WriteString(frame("a", a) + frame("b", b))
		c := KaplanMeier(a)
		if len(c.Steps) > 0 {
			last := c.Steps[len(c.Steps)-1]
			if last.Holds == 0 && len(c.Steps) > 1 {
				last = c.Steps[len(c.Steps)-2] // R gives no interval at 0
			}
			if last.Holds > 0 {
				ask(fmt.Sprintf("f <- summary(survfit(Surv(t, d) ~ 1, a, conf.type = 'log-log'), times = %g)\nsay(f$surv, f$std.err, f$lower, f$upper)\n", last.At.Seconds()),
					last.Holds, last.SE, last.Low, last.High)
			}
		}
		median := c.Median()
		ask("say(unname(quantile(survfit(Surv(t, d) ~ 1, a, conf.type = 'log-log'), 0.5, conf.int = TRUE)) |> unlist())\n",
			orNaN(median.At), orNaN(median.Low), orNaN(median.High))
		if moments(a)[0].at < 5*tags.Second/2 { // R wants some watch to end before the limit
			ask("say(summary(survfit(Surv(t, d) ~ 1, a), rmean = 2.5)$table[c('rmean', 'se(rmean)')])\n", c.RestrictedMean(5*tags.Second/2), c.MeanSE(5*tags.Second/2))
		}
		for _, by := range Reaches {
			if r := c.reached(by); r.Share != nil && *r.Share > 0 && *r.Share < 1 {
				ask(fmt.Sprintf("f <- summary(survfit(Surv(t, d) ~ 1, a, conf.type = 'log-log'), times = %g)\nsay(1 - f$surv, 1 - f$upper, 1 - f$lower, f$n.risk)\n", by.Seconds()),
					*r.Share, *r.Low, *r.High, float64(r.AtRisk))
			}
		}
		if test := compareTwo(a, b); test.Degrees > 0 {
			ask("a$g <- 1; b$g <- 2; s <- survdiff(Surv(t, d) ~ g, rbind(a, b)); a$g <- NULL\nsay(s$obs[1], s$exp[1], s$chisq)\n",
				float64(test.Groups[0].Observed), test.Groups[0].Expected, test.ChiSquare)
		}
	}

	for range 40 {
		counts := make([]Dated, 3+r.IntN(10))
		day := 20000
		k, n, days := make([]string, len(counts)), make([]string, len(counts)), make([]string, len(counts))
		for i := range counts {
			day += 1 + r.IntN(14)
			counts[i] = Dated{day, Count{N: 1 + r.IntN(25)}}
			counts[i].K = r.IntN(counts[i].N + 1)
			k[i], n[i], days[i] = fmt.Sprint(counts[i].K), fmt.Sprint(counts[i].N), fmt.Sprint(day)
		}
		if trend, ok := trendOf(counts); ok {
			ask(fmt.Sprintf("k <- c(%s); n <- c(%s); d <- c(%s); f <- prop.trend.test(k, n, d); w <- max(d) - min(d)\nb <- unname(coef(lm(k / n ~ d, weights = n))[2]) * w; p <- sum(k) / sum(n)\nse <- w * sqrt(p * (1 - p) / sum(n * (d - weighted.mean(d, n))^2))\nsay(f$statistic, f$p.value, b, b - qnorm(.975) * se, b + qnorm(.975) * se)\n",
				strings.Join(k, ","), strings.Join(n, ","), strings.Join(days, ",")), trend.ChiSquare, trend.P, trend.Rise, trend.Low, trend.High)
		}
	}
	for range 40 {
		groups := make([]Ranked, 2+r.IntN(5))
		for i := range groups {
			groups[i] = Ranked{fmt.Sprint(i), randomWatches(r)}
			if r.IntN(4) == 0 { // watches that end before anybody is beaten
				for j := range groups[i].Watches {
					groups[i].Watches[j] = Watch{Until: tags.Millisecond}
				}
			}
			script.WriteString(frame("a", groups[i].Watches) + fmt.Sprintf("a$g <- %d; d%[1]d <- a\n", i))
		}
		test := CompareGroups(groups)
		if test.Degrees == 0 {
			continue
		}
		frames := make([]string, len(groups))
		ours := []float64{test.ChiSquare, test.P}
		for i, g := range test.Groups {
			frames[i] = fmt.Sprintf("d%d", i)
			ours = append(ours, float64(g.Observed), g.Expected)
		}
		ask(fmt.Sprintf("s <- survdiff(Surv(t, d) ~ g, rbind(%s))\nsay(s$chisq, pchisq(s$chisq, %d, lower.tail = FALSE), rbind(s$obs, s$exp))\n", strings.Join(frames, ","), test.Degrees), ours...)
	}
	// R has no kappa of its own. What the oracle adds is the variance, found by the delta
	// method with the derivatives taken by numbers, not by the formula that is tested.
	script.WriteString(`k <- function(p) { e <- sum(rowSums(p) * colSums(p)); (sum(diag(p)) - e) / (1 - e) }
se <- function(m) { n <- sum(m); p <- m / n; h <- 1e-5
g <- sapply(seq_along(p), function(i) { a <- p; b <- p; a[i] <- a[i] + h; b[i] <- b[i] - h; (k(a) - k(b)) / (2 * h) })
v <- as.vector(p); sqrt((sum(g^2 * v) - sum(g * v)^2) / n) }
`)
	for range 60 {
		words := 2 + r.IntN(4)
		counts := map[[2]string]int{}
		var cells []string
		for j := range words { // R fills a matrix by columns
			for i := range words {
				n := r.IntN(12)
				if i == j {
					n += r.IntN(20)
				}
				if n > 0 {
					counts[[2]string{fmt.Sprint(i), fmt.Sprint(j)}] = n
				}
				cells = append(cells, fmt.Sprint(n))
			}
		}
		if k := kappa(pairsOf(counts)); k.SE != nil {
			ask(fmt.Sprintf("m <- matrix(c(%s), %d)\nsay(k(m / sum(m)))\n", strings.Join(cells, ","), words), *k.At)
			ask("say(round(se(m), 7))\n", math.Round(*k.SE*1e7)/1e7)
		}
	}

	cmd := exec.Command(rscript, "--vanilla", "-")
	cmd.Stdin = strings.NewReader(script.String())
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, stderr.String())
	}
	lines := bufio.NewScanner(bytes.NewReader(out))
	for i, ours := range want {
		if !lines.Scan() {
			t.Fatalf("R gave %d lines, want %d", i, len(want))
		}
		theirs := strings.Fields(lines.Text())
		if len(theirs) != len(ours) {
			t.Fatalf("line %d: R gives %q, we %v", i, theirs, ours)
		}
		for j, text := range theirs {
			number, err := strconv.ParseFloat(text, 64)
			if err != nil {
				number = math.NaN() // NA
			}
			if math.IsNaN(number) != math.IsNaN(ours[j]) || math.Abs(number-ours[j]) > 1e-8*(1+math.Abs(number)) {
				t.Errorf("line %d: R gives %q, we %v", i, theirs, ours)
				break
			}
		}
	}
}

// frame is watches as an R data frame of times t and deaths d.
func frame(name string, list []Watch) string {
	times, beaten := make([]string, len(list)), make([]string, len(list))
	for i, w := range list {
		times[i], beaten[i] = fmt.Sprintf("%g", w.Until.Seconds()), "0"
		if w.Beat {
			beaten[i] = "1"
		}
	}
	return fmt.Sprintf("%s <- data.frame(t = c(%s), d = c(%s))\n", name, strings.Join(times, ","), strings.Join(beaten, ","))
}

func orNaN(t *tags.Time) float64 {
	if t == nil {
		return math.NaN()
	}
	return t.Seconds()
}
