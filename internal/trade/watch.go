package trade

// LongestWatchS is the longest that a bench test may be watched, and the longest hold that a question
// may name, s. Tests are watched for a minute or two; more is a slip of the decimal point (project's
// choice).
const LongestWatchS = 600.0
