package discordtest

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
)

// reply is the platform's answer to one request.
type reply struct {
	status int
	body   any // nil = none
	header map[string]string
	code   int // the platform's own error code, for the record
}

func ok(body any) reply { return reply{status: http.StatusOK, body: body} }
func noContent() reply  { return reply{status: http.StatusNoContent} }

// refuse is an error answer with the platform's own code.
func refuse(status, code int, message string) reply {
	return reply{status: status, code: code, body: object{"message": message, "code": code}}
}

// The errors the stand-in gives (topics/opcodes-and-status-codes). The wording
// is the platform's usual one (practice).
var (
	unauthorized       = refuse(401, 0, "401: Unauthorized")
	notFound           = refuse(404, 0, "404: Not Found")
	unknownApplication = refuse(404, 10002, "Unknown Application")
	unknownChannel     = refuse(404, 10003, "Unknown Channel")
	unknownGuild       = refuse(404, 10004, "Unknown Guild")
	unknownMember      = refuse(404, 10007, "Unknown Member")
	unknownMessage     = refuse(404, 10008, "Unknown Message")
	unknownUser        = refuse(404, 10013, "Unknown User")
	unknownWebhook     = refuse(404, 10015, "Unknown Webhook")
	unknownInteraction = refuse(404, 10062, "Unknown interaction")
	tooManyCommands    = refuse(400, 30032, "Maximum number of application commands reached")
	tooManyCreates     = refuse(400, 30034, "Max number of daily application command creates has been reached (200)")
	tooLarge           = refuse(413, 40005, "Request entity too large")
	alreadyAnswered    = refuse(400, 40060, "Interaction has already been acknowledged.")
	blockedAgent       = refuse(403, 40333, "internal network error")
	missingAccess      = refuse(403, 50001, "Missing Access")
	notOurs            = refuse(403, 50005, "Cannot edit a message authored by another user")
	emptyMessage       = refuse(400, 50006, "Cannot send an empty message")
	cannotMessage      = refuse(403, 50007, "Cannot send messages to this user")
	missingPermissions = refuse(403, 50013, "Missing Permissions")
	badWebhookToken    = refuse(401, 50027, "Invalid Webhook Token")
	badVersion         = refuse(400, 50041, "Invalid API version")
	badJSON            = refuse(400, 50109, "The request body contains invalid JSON.")
	noHistory          = refuse(400, 160002, "Cannot reply without permission to read message history")
)

// invalidForm is the 50035 answer for a form: one branch per refused value.
func invalidForm(errs []formError) reply {
	tree := object{}
	for _, e := range errs {
		branch := tree
		for _, key := range e.path {
			next, ok := branch[key].(object)
			if !ok {
				next = object{}
				branch[key] = next
			}
			branch = next
		}
		list, _ := branch["_errors"].([]object)
		branch["_errors"] = append(list, object{"code": e.code, "message": e.message})
	}
	return reply{status: http.StatusBadRequest, code: 50035, body: object{
		"message": "Invalid Form Body", "code": 50035, "errors": tree,
	}}
}

// plain is an answer from in front of the platform: HTML, not JSON.
func plain(status int) reply {
	return reply{status: status, body: fmt.Sprintf("<html><title>%d %s</title></html>", status,
		http.StatusText(status))}
}

// frozen turns the body into JSON: while the platform is locked, because the
// body may share parts with what it keeps.
func (r reply) frozen() reply {
	if r.body == nil || r.status >= 400 {
		return r
	}
	raw, err := json.Marshal(r.body)
	if err != nil {
		return refuse(http.StatusInternalServerError, 0, "the stand-in: "+err.Error())
	}
	r.body = json.RawMessage(raw)
	return r
}

// send writes the answer.
func (r reply) send(w http.ResponseWriter) {
	for key, value := range r.header {
		w.Header().Set(key, value)
	}
	switch body := r.body.(type) {
	case nil:
		w.WriteHeader(r.status)
	case string:
		w.Header().Set("Content-Type", "text/html")
		w.WriteHeader(r.status)
		_, _ = w.Write([]byte(body)) // a client that hung up is no concern of ours
	default:
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(r.status)
		_ = json.NewEncoder(w).Encode(body)
	}
}

// refusal describes an error answer for a violation.
func (r reply) refusal() string {
	body, _ := r.body.(object)
	return strings.TrimSpace(fmt.Sprintf("%d %v (%d)", r.status, body["message"], r.code))
}
