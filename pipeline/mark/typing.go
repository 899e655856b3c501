package mark

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// typedKey is a key in an open field or question.
func (f *form) typedKey(key string) error {
	switch key {
	case "Escape":
		f.close()
		return nil
	case "Backspace":
		if f.Typed != "" {
			runes := []rune(f.Typed)
			f.Typed, f.Pick = string(runes[:len(runes)-1]), 0
		}
		return nil
	case "Enter":
		return f.enter()
	case "ArrowDown", "ArrowUp":
		return f.pick(key)
	case "ArrowLeft", "ArrowRight":
		return f.place(key)
	case ";":
		return f.command("field")
	}
	if len([]rune(key)) != 1 {
		return f.beside(key)
	}
	if f.Typed == "" && f.Open != "" {
		switch key {
		case "-":
			field := f.Open
			if err := f.set(field, ""); err != nil {
				return err
			}
			f.after(field)
			return nil
		case "=":
			return f.same()
		case ">":
			return f.open("move", true)
		case "/":
			return f.path()
		}
	}
	if lower := strings.ToLower(key); lower != key && f.Open != "" {
		return f.beside(lower)
	}
	return f.letter(key)
}

// beside handles a key that works though a field is open: a mark, which leaves the field open, or
// the key of another field.
func (f *form) beside(key string) error {
	k, ok := f.keyOf(key)
	if mark, marks := strings.CutPrefix(k.Do, "mark "); marks {
		return f.mark(mark)
	}
	if ok && k.Group == groupForm && f.Open != "" {
		return f.command(k.Do)
	}
	return nil
}

// letter adds a letter to what is typed, unless no choice begins with the result.
func (f *form) letter(key string) error {
	typed := f.Typed + key
	before := f.Desk
	f.Typed, f.Pick = typed, 0
	switch {
	case f.Ask == AskPlay, f.Open != "" && f.kind(f.Open) == number, f.Open != "" && f.kind(f.Open) == clock:
		if strings.Trim(key, "0123456789:") != "" {
			f.Desk = before
			return fmt.Errorf("want digits")
		}
		if f.Open != "" && f.kind(f.Open) == number {
			if pf, ok := playField[f.Open]; ok && whole(typed, pf.Most) {
				return f.take(typed)
			}
		}
		return nil
	case f.Open == "draw":
		f.Desk = before
		return f.drawKey(key)
	case f.Open != "" && f.kind(f.Open) == free:
		return nil
	}
	offered := f.offered()
	switch {
	case len(offered) == 0:
		f.Desk = before
		return fmt.Errorf("nothing here begins with %q", typed)
	case strings.HasSuffix(typed, "/"): // which path is still to be said
	case len(offered) == 1, !strings.Contains(typed, "/") && decided(offered, typed):
		// Whoever knows no letters types the word, of which the first may have said enough. In a
		// short list each word has its letter, and the next key is for the next field.
		rest := ""
		if f.Ask == "" && f.kind(f.Open) != person && (len(typed) > 1 || len(f.choices(f.Open)) > shortList) {
			rest = restOf(offered[0], typed)
		}
		if err := f.take(offered[0].Value); err != nil {
			return err
		}
		f.Rest = rest
	}
	return nil
}

// shortList is how many words a list has at most of which each is known by a letter.
const shortList = 7

// restOf is how the name of a choice goes on behind what is typed.
func restOf(c Choice, typed string) string {
	for _, name := range c.names {
		if rest, ok := strings.CutPrefix(strings.ToLower(name), strings.ToLower(typed)); ok {
			return rest
		}
	}
	return ""
}

func (f *form) pick(key string) error {
	if f.placing() {
		return f.place(key)
	}
	n := len(f.offered())
	if n == 0 {
		return nil
	}
	step := 1
	if key == "ArrowUp" {
		step = n - 1
	}
	f.Pick = (f.Pick + step) % n
	return nil
}

// enter takes what is picked or typed; with neither the field stays as it is.
func (f *form) enter() error {
	if f.Ask == AskPlay {
		return f.take(f.Typed)
	}
	if f.placing() || f.Open != "" && f.Typed == "" && f.Pick == 0 {
		f.after(f.Open)
		return nil
	}
	if f.Open != "" && (f.kind(f.Open) == number || f.kind(f.Open) == clock || f.kind(f.Open) == free) && f.Typed != "" {
		return f.take(f.Typed)
	}
	offered := f.offered()
	if f.Pick >= len(offered) {
		return fmt.Errorf("nothing here begins with %q", f.Typed)
	}
	return f.take(offered[f.Pick].Value)
}

// after goes to the next field of the chain, or closes the form.
func (f *form) after(field Field) {
	if f.Chain {
		f.next(field)
		return
	}
	f.close()
}

// take takes a value for the open field or question.
func (f *form) take(value string) error {
	switch f.Ask {
	case AskClear:
		return f.clear(value)
	case AskWho:
		return f.rusher(value)
	case AskField:
		return f.open(Field(value), f.Chain)
	case AskPlay:
		n := f.look.nextPlay()
		if value != "" {
			var err error
			if n, err = strconv.Atoi(value); err != nil {
				return fmt.Errorf("want the play's number")
			}
		}
		return f.begin(n)
	}
	field := f.Open
	switch field {
	case "":
		return errors.New("no field is open")
	case "draw":
		return f.drawKey(value)
	}
	switch f.kind(field) {
	case clock:
		if value != "" {
			var err error
			if value, err = asClock(value); err != nil {
				return err
			}
		}
	case words:
		return f.takeOne(field, value)
	case free:
		value = strings.TrimSpace(value)
		if field == "tells" {
			value = listed(listedIn(value)...)
		}
	}
	if err := f.set(field, value); err != nil {
		return err
	}
	f.after(field)
	return nil
}

// takeOne adds one value to a field that holds several; one that is there already, but for
// moves, is taken out.
func (f *form) takeOne(field Field, value string) error {
	was, _ := f.look.Value(f.Play, f.rep(), field)
	var items []string
	if was != "" {
		items = strings.Split(was, listSign)
	}
	name, _, _ := strings.Cut(value, "/")
	if last := len(items) - 1; field == "move" && name != value && last >= 0 && items[last] == name {
		items = items[:last] // its path was to be said
	}
	if i := slices.Index(items, value); i >= 0 && field != "move" {
		items = slices.Delete(items, i, i+1)
	} else {
		items = append(items, value)
	}
	if err := f.set(field, listed(items...)); err != nil {
		return err
	}
	if field == "move" {
		f.after(field)
		return nil
	}
	f.Typed, f.Pick = "", 0 // another may follow; Enter goes on
	return nil
}

// path asks for the path of the last move.
func (f *form) path() error {
	was, _ := f.look.Value(f.Play, f.rep(), "move")
	if was == "" || f.Pass != RepsPass {
		return errors.New("a path is of a move: take the move first")
	}
	items := strings.Split(was, listSign)
	name, _, _ := strings.Cut(items[len(items)-1], "/")
	chain := f.Chain
	f.close()
	f.Open, f.Chain, f.Typed = "move", chain, name+"/"
	return nil
}

// same takes what the field held the last time: of the play before, or of the rusher's last
// rep.
func (f *form) same() error {
	field, value := f.Open, ""
	for _, number := range f.look.plays() {
		if number >= f.Play {
			break
		}
		if v, _ := f.look.Value(number, f.rep(), field); v != "" {
			value = v
		}
	}
	if value == "" {
		return fmt.Errorf("%s is tagged nowhere before", field.Spoken())
	}
	if err := f.set(field, value); err != nil {
		return err
	}
	f.after(field)
	return nil
}
