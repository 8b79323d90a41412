package study

import (
	"fmt"
	"strings"
)

// oneSession settles the session that a question speaks of, by default the last.
func (d *desk) oneSession(session *string) error {
	t := d.used
	d.request.origin("session", *session != "")
	if *session == "" {
		if t.OrderDoubt != "" && len(t.Sessions) > 1 {
			return fmt.Errorf("which session is the last? %s, and the table has %s; say so with --session, or write dates "+
				"as yyyy-mm-dd", t.OrderDoubt, SessionList(t.Sessions))
		}
		*session = t.Sessions[len(t.Sessions)-1]
		return nil
	}
	found, err := sessionNames(t, []string{*session})
	if err != nil {
		return err
	}
	if len(found) != 1 {
		return requestError("session", "%s means %s: name one", *session, strings.Join(found, ", "))
	}
	*session = found[0]
	return nil
}
