package tags

// RequestError says that what was asked for is wrong: neither the files have faults, nor
// did the work fail.
type RequestError struct{ Err error }

func (e *RequestError) Error() string { return e.Err.Error() }
func (e *RequestError) Unwrap() error { return e.Err }

// WrongRequest is err as a [RequestError]; nil stays nil.
func WrongRequest(err error) error {
	if err == nil {
		return nil
	}
	return &RequestError{err}
}
