package main

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strconv"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

func (a *app) verifyCommand() *cobra.Command {
	var head string
	c := &cobra.Command{
		Use:   "verify",
		Short: "look at every original, record and journal entry for damage",
		Long: `Reads every original and compares it with its hash; walks the journal's chain;
compares every stored value with its checksum, the database with the files, the
records with what was read and decided, and the index with the archive. What is
wrong is said with what to do about it. Nothing is ever changed or deleted.

It ends with the journal's head, a number and a hash. Note it somewhere else:
with --head it shows later that no entry up to it was changed or dropped.

Exit status 1 when anything is wrong.`,
		Args: exactly(0, "no arguments; --archive names the folder"),
		RunE: func(c *cobra.Command, _ []string) error {
			o := archive.VerifyOptions{}
			if head != "" {
				h, err := parseHead(head)
				if err != nil {
					return err
				}
				o.Head = &h
			}
			return a.verify(c.Context(), o)
		},
	}
	c.Flags().StringVar(&head, "head", "", "the journal's head as noted earlier, SEQ:HASH")
	return c
}

var headForm = regexp.MustCompile(`^([1-9][0-9]{0,17}):([0-9a-f]{16,64})$`)

func parseHead(s string) (archive.Head, error) {
	m := headForm.FindStringSubmatch(s)
	if m == nil {
		return archive.Head{}, usageError{fmt.Errorf("--head %q is not a head; write it as verify printed it, a number, a colon and at least 16 figures of the hash", s)}
	}
	n, err := strconv.ParseInt(m[1], 10, 64)
	return archive.Head{Seq: n, Hash: m[2]}, err
}

// problemLine is one thing wrong as scripts get it.
type problemLine struct {
	What  string `json:"what"`
	Wrong string `json:"wrong"`
	Do    string `json:"do"`
}

// verifiedLine is the last line of verify as scripts get it.
type verifiedLine struct {
	Captures int64  `json:"captures"`
	Bytes    int64  `json:"bytes"`
	Records  int64  `json:"records"`
	Entries  int64  `json:"journal_entries"`
	Head     string `json:"head,omitempty"`
	Problems int    `json:"problems"`
}

func (a *app) verify(ctx context.Context, o archive.VerifyOptions) error {
	m := a.tally("originals read")
	o.Progress = m.bytes
	o.Found = a.wrong(m)
	sum, err := intake.Verify(ctx, a.archive, o)
	m.clear()
	if err != nil {
		return err
	}
	return a.verified(sum)
}

// wrong tells of what is wrong with an archive, as it is found.
func (a *app) wrong(m *tally) func(archive.Problem) {
	return func(p archive.Problem) {
		m.clear()
		a.failed = true
		if a.json {
			a.line(problemLine{p.What, p.Err.Error(), p.Do})
			return
		}
		a.say("WRONG  %s\n       to do: %s\n", p.Error(), p.Do)
	}
}

func (a *app) verified(v archive.Verified) error {
	head := ""
	if v.Head.Seq > 0 {
		head = fmt.Sprintf("%d:%s", v.Head.Seq, v.Head.Hash)
	}
	if a.json {
		return a.line(verifiedLine{v.Captures, v.Bytes, v.Records, v.Entries, head, v.Problems})
	}
	a.say("looked at %s, %s of originals, %s and %s of the journal\n",
		counted(v.Captures, "capture"), size(v.Bytes), counted(v.Records, "record"), counted(v.Entries, "entry"))
	if v.Problems > 0 {
		return errors.New(counted(int64(v.Problems), "thing") + " wrong in " + a.archive + ", see above; nothing was changed")
	}
	a.say("nothing wrong found\n")
	if head != "" {
		a.say("journal head %s\n", head)
	}
	return nil
}
