// Package s3manager has what ffmpeg-go names of the AWS SDK. See this module's go.mod.
package s3manager

import (
	"io"

	"github.com/aws/aws-sdk-go/aws/session"
)

// UploadInput is what would be uploaded.
type UploadInput struct {
	Bucket, Key *string
	Body        io.Reader
}

// UploadOutput is what an upload would give.
type UploadOutput struct{}

// Uploader uploads nothing.
type Uploader struct{}

// NewUploader is the uploader of any session.
func NewUploader(*session.Session) *Uploader { return &Uploader{} }

// Upload reads nothing and returns [session.ErrAbsent].
func (*Uploader) Upload(*UploadInput) (*UploadOutput, error) { return nil, session.ErrAbsent }
