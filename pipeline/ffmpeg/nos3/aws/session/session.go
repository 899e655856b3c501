// Package session has what ffmpeg-go names of the AWS SDK. See this module's go.mod.
package session

import (
	"errors"

	"github.com/aws/aws-sdk-go/aws"
)

// ErrAbsent is the error of every session and upload.
var ErrAbsent = errors.New("this build writes files only, nothing to s3://")

// Session is never had.
type Session struct{}

// NewSession returns [ErrAbsent].
func NewSession(...*aws.Config) (*Session, error) { return nil, ErrAbsent }
