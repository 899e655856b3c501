// Package aws has what ffmpeg-go names of the AWS SDK. See this module's go.mod.
package aws

// Config is empty: nothing here reaches a service.
type Config struct{}
