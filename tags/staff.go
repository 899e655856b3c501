package tags

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/templates"
)

// Endings of the names of a staff's own files.
const (
	VocabularySuffix = ".vocabulary.yaml"
	ReadsSuffix      = ".reads.yaml"
	KeysSuffix       = ".keys.yaml"
)

// StaffFiles is the files a staff changes its words, its reads and the keys of the marking page
// by.
type StaffFiles struct {
	Vocabulary []string
	Reads      []string
	Keys       []string
}

// FindStaffFiles names the staff's own files that go with the games at paths:
// those in a folder and below it, those beside a tag file, and those in the folders above
// either, up to the current one, so that a season's words hold whether a game is named or
// found. None is no error. No path at all means the current folder.
func FindStaffFiles(paths []string) (StaffFiles, error) {
	var found StaffFiles
	if len(paths) == 0 {
		paths = []string{"."}
	}
	seen := map[string]bool{}
	add := func(file string) {
		if seen[abs(file)] || strings.HasPrefix(filepath.Base(file), ".") {
			return
		}
		seen[abs(file)] = true
		switch {
		case strings.HasSuffix(file, VocabularySuffix):
			found.Vocabulary = append(found.Vocabulary, file)
		case strings.HasSuffix(file, ReadsSuffix):
			found.Reads = append(found.Reads, file)
		case strings.HasSuffix(file, KeysSuffix):
			found.Keys = append(found.Keys, file)
		}
	}
	walk := func(root string, deep bool) error {
		err := filepath.WalkDir(root, func(file string, entry fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case !entry.IsDir():
				add(file)
			case file != root && (!deep || strings.HasPrefix(entry.Name(), ".")):
				return filepath.SkipDir
			}
			return nil
		})
		if err != nil {
			return fmt.Errorf("find vocabulary in %s: %w", root, err)
		}
		return nil
	}
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return found, fmt.Errorf("find vocabulary: %w", err)
		}
		root := path
		if !info.IsDir() {
			root = filepath.Dir(path)
		}
		if err := walk(root, info.IsDir()); err != nil {
			return found, err
		}
		for _, folder := range above(root) {
			if err := walk(folder, false); err != nil {
				return found, err
			}
		}
	}
	// The order of new words must not hang on the order in which games were named.
	for _, files := range [][]string{found.Vocabulary, found.Reads, found.Keys} {
		slices.SortFunc(files, func(a, b string) int { return cmp.Compare(abs(a), abs(b)) })
	}
	return found, nil
}

// above is the folders above folder, the nearest first, up to the current one; none where
// folder is not below that.
func above(folder string) []string {
	within, err := filepath.Rel(abs("."), abs(folder))
	if err != nil || !filepath.IsLocal(within) {
		return nil
	}
	var folders []string
	for within != "." {
		within = filepath.Dir(within)
		folders = append(folders, within)
	}
	return folders
}

// DefaultVocabulary is the words and the reads that templates carry.
func DefaultVocabulary() (*Vocabulary, error) {
	v, faults, err := LoadVocabulary(StaffFiles{})
	return v, errors.Join(err, faults.Err())
}

// LoadVocabulary is the words and the reads that templates carry with a staff's own laid
// over them. The faults are all of all files, and the vocabulary holds what could be
// read; whether terms of choices and reads mean something is the query language's to
// say. The error is a file that could not be read at all.
func LoadVocabulary(staff StaffFiles) (*Vocabulary, Faults, error) {
	const words, drills, reads = "vocabulary.yaml", "drills.yaml", "reads.yaml"
	data, err := templates.FS.ReadFile(words)
	if err != nil {
		return nil, nil, fmt.Errorf("read the vocabulary: %w", err)
	}
	v, err := parseVocabulary("templates/"+words, data)
	if err != nil {
		return v, nil, err
	}
	if data, err = templates.FS.ReadFile(drills); err != nil {
		return v, nil, fmt.Errorf("read the drills: %w", err)
	}
	ours, faults := parseVocabularyFile("templates/"+drills, data)
	faults = append(faults, v.extend([]*vocabularyFile{ours})...)
	for i := range v.List("move").Words {
		v.List("move").Words[i].Common = true
	}
	var files []*vocabularyFile
	var failed []error
	for _, file := range staff.Vocabulary {
		data, err := readFile(file)
		if err != nil {
			failed = append(failed, fmt.Errorf("read the vocabulary: %w", err))
			continue
		}
		f, fs := parseVocabularyFile(file, data)
		files, faults = append(files, f), append(faults, fs...)
	}
	faults = append(faults, v.extend(files)...)
	// Reads name words, so they come after whatever the staff renames.
	if data, err = templates.FS.ReadFile(reads); err != nil {
		return v, nil, fmt.Errorf("read the reads: %w", err)
	}
	own, fs := parseReads("templates/"+reads, data, v)
	v.Reads, faults = own.reads, append(faults, fs...)
	var readsFiles []readsFile
	for _, file := range staff.Reads {
		data, err := readFile(file)
		if err != nil {
			failed = append(failed, fmt.Errorf("read the reads: %w", err))
			continue
		}
		f, fs := parseReads(file, data, v)
		readsFiles, faults = append(readsFiles, f), append(faults, fs...)
	}
	faults = append(faults, v.extendReads(readsFiles)...)
	faults.Sort()
	return v, faults, errors.Join(failed...)
}
