// Package inside shows the state of the running bot: /healthz for a supervisor, /metrics for Prometheus, on an address
// that only this machine can reach. It knows no rules and no store: its Sources are functions. Nothing in it names a
// member, a community or anything that somebody typed, and no label has more values than there are commands, shards and
// kinds of work.
package inside
