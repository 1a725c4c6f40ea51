// Package inside shows whoever runs the bot how it is: /healthz for a supervisor,
// /metrics for Prometheus, on an address that the machine alone can reach. It knows
// no rules and asks no store itself: it is handed what to ask. Nothing here tells
// of a member, a community or anything that somebody typed, and no label has more
// values than there are commands, shards and kinds of work.
package inside
