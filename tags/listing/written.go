package listing

import (
	"encoding/json"
	"io"
	"math"

	"trenchcut/tags/exchange"
	"trenchcut/tags/query"
	"trenchcut/tags/report"
)

// CSV writes a header and a line each, RFC 4180 but for lines that end in LF.
func (l *List) CSV(w io.Writer) error {
	out := exchange.NewCSVWriter(w)
	var header []string
	for _, f := range l.by {
		header = append(header, "by-"+f.Name)
	}
	for _, f := range l.facts {
		header = append(header, f.Name)
	}
	if err := out.Write(header); err != nil {
		return err
	}
	groups := l.groups
	if l.by == nil {
		groups = []group{{rows: l.all()}}
	}
	for _, g := range groups {
		for _, row := range g.rows {
			cells := l.named(g)
			for _, f := range l.facts {
				value, ok := l.values(row, f)
				if !ok {
					cells = append(cells, "")
					continue
				}
				cells = append(cells, f.Format(value))
			}
			if err := out.Write(cells); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

// JSONLines writes Objects, a line each.
func (l *List) JSONLines(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	for _, object := range l.Objects() {
		if err := enc.Encode(object); err != nil {
			return err
		}
	}
	return nil
}

// Objects is an object each, with the facts that are known; where the list is grouped, an object
// a group.
func (l *List) Objects() []report.Object {
	if l.by == nil {
		return l.objects(l.all())
	}
	list := make([]report.Object, len(l.groups))
	for i, g := range l.groups {
		by := report.Object{}
		for j, f := range l.by {
			if g.values[j] != nil {
				by = append(by, report.Member{Name: f.Name, Value: jsonValue(f, g.values[j])})
			}
		}
		list[i] = report.Object{{Name: "by", Value: by}, {Name: "count", Value: len(g.rows)}, {Name: l.Noun + "s", Value: l.objects(g.rows)}}
	}
	return list
}

func (l *List) objects(rows []int) []report.Object {
	list := make([]report.Object, len(rows))
	for i, row := range rows {
		for _, f := range l.facts {
			if value, ok := l.values(row, f); ok {
				list[i] = append(list[i], report.Member{Name: f.Name, Value: jsonValue(f, value)})
			}
		}
	}
	return list
}

func jsonValue(f query.Fact, value any) any {
	switch f.Kind {
	case query.Clock, query.Person:
		return f.Format(value)
	case query.Seconds:
		return math.Round(value.(float64)*1000) / 1000
	default:
		return value
	}
}
