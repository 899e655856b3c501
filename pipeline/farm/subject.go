package farm

import (
	"strings"

	"trenchcut/pipeline/plan"
)

// Subjects of the messages of a farm. Of a job's own three the last word is its key.
const (
	jobSubject    = "trenchcut.job"    // .KIT.URGENCY.KEY: the queue
	noticeSubject = "trenchcut.notice" // .KEY: how far a job is
	wantSubject   = "trenchcut.want"   // .KEY: whoever waits for it answers
	whoSubject    = "trenchcut.who"    // every worker answers what it does
	kitSubject    = "trenchcut.kit"    // askers say with what their segments are rendered
)

func jobsOf(kit, urgency, key string) string {
	return strings.Join([]string{jobSubject, kit, urgency, key}, ".")
}

func noticesOf(key string) string { return noticeSubject + "." + key }

func wantOf(key plan.Key) string { return wantSubject + "." + string(key) }

// lastWord is the key that a subject ends in.
func lastWord(subject string) plan.Key {
	return plan.Key(subject[strings.LastIndexByte(subject, '.')+1:])
}

// NotForWorkers is the subjects on which a machine that only works may not publish: it asks for
// nothing, lends no film, and changes nothing about what the server holds but by its work.
func NotForWorkers() []string {
	deny := []string{jobSubject + ".>", "$O." + blockBucket + ".>"}
	for _, call := range []string{
		"STREAM.CREATE.>", "STREAM.UPDATE.>", "STREAM.DELETE.>", "STREAM.MSG.DELETE.>", "STREAM.RESTORE.>", "STREAM.SNAPSHOT.>",
		"STREAM.PURGE." + jobStream, "STREAM.PURGE.OBJ_" + blockBucket, "CONSUMER.DELETE." + jobStream + ".>",
	} {
		deny = append(deny, "$JS.API."+call)
	}
	return deny
}

// NotHeardByWorkers is the subjects that a machine that only works may not subscribe to.
func NotHeardByWorkers() []string { return []string{wantSubject + ".>", jobSubject + ".>"} }
