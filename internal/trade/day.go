package trade

import "time"

// CheckDay refuses a day that is not in the calendar.
func CheckDay(field, day string) error {
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		return Refuse(field, "%q is not a date; write it like 2026-03-14", day)
	}
	return nil
}

// optionalDay is CheckDay for a day that may be missing.
func optionalDay(field, day string) error {
	if day == "" {
		return nil
	}
	return CheckDay(field, day)
}
