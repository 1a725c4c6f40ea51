package commands

import (
	"errors"

	"holdbench/internal/knowledge"
)

// storeFaultCard says what the store could not do and what helps. is reports whether the error is the store's.
func storeFaultCard(err error, reference string) (c Card, is bool) {
	title, lines := storeFaultWords(err)
	if title == "" {
		return Card{}, false
	}
	c = Card{Title: title, Failed: true}
	for _, line := range lines {
		c.line("%s", line)
	}
	c.line("Reference %s: whoever runs the bot finds the cause in its log.", reference)
	return c, true
}

const (
	nothingStored = "Nothing was stored."
	tellWho       = "Tell whoever runs the bot"
)

// storeFaultWords are a title and what to do. They say that nothing was stored only where that is certain.
func storeFaultWords(err error) (title string, lines []string) {
	const uncertain = "Whether what you sent was stored is not certain: look before you send it again."
	switch {
	case errors.Is(err, knowledge.ErrFull):
		return "The log could not be written: the disk is full.",
			[]string{nothingStored, tellWho + "; once there is room, send it again."}
	case errors.Is(err, knowledge.ErrReadOnly):
		return "The log could not be written: it is write-protected.",
			[]string{nothingStored, tellWho + "; once that is put right, send it again."}
	case errors.Is(err, knowledge.ErrBusy):
		return "Another program is holding the log just now.",
			[]string{nothingStored, "Send it again in a minute. If it stays like this, tell whoever runs the bot."}
	case errors.Is(err, knowledge.ErrNewerStore):
		return "The log now belongs to a newer version of this program.",
			[]string{nothingStored, tellWho + ": the newer version has to be started."}
	case errors.Is(err, knowledge.ErrDamaged):
		return "The log is damaged.",
			[]string{nothingStored, tellWho + " before anything else is logged: a backup can be restored."}
	case errors.Is(err, knowledge.ErrUnreachable):
		return "The log's database cannot be reached just now.",
			[]string{uncertain, "If it stays like this, tell whoever runs the bot."}
	case errors.Is(err, knowledge.ErrDisk):
		return "The log cannot be reached: its disk does not work as it should.", []string{uncertain, tellWho + "."}
	}
	return "", nil
}
