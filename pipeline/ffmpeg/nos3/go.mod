// Stands in for the AWS SDK, which ffmpeg-go imports for outputs named s3://…
// trenchcut names files only, so go.mod of trenchcut replaces the SDK by this module: the
// program is smaller, starts sooner and builds sooner, and holds no code that reaches a network
// service.
module github.com/aws/aws-sdk-go

go 1.26.0
