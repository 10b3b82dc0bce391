package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/internal/intake"
	"tankroll/record"
)

type completion = func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective)

// completeSites offers the sites that records name.
func (a *app) completeSites(c *cobra.Command, _ []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return starting(begun, "", a.known(c.Context(), "site")), cobra.ShellCompDirectiveNoFileComp
}

// completeFilters offers the filters of a search and, after their colon, what
// there is to choose.
func (a *app) completeFilters(c *cobra.Command, _ []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
	name, value, ok := strings.Cut(begun, ":")
	if !ok {
		return starting(begun, "", []string{"site:", "kind:", "product:", "result:", "from:", "to:"}), cobra.ShellCompDirectiveNoSpace | cobra.ShellCompDirectiveNoFileComp
	}
	var list []string
	switch name {
	case "site", "product":
		list = a.known(c.Context(), name)
	case "kind":
		for _, k := range record.Kinds() {
			list = append(list, string(k))
		}
	case "result":
		list = []string{"pass", "fail", "inconclusive", "aborted"}
	}
	return starting(value, name+":", list), cobra.ShellCompDirectiveNoFileComp
}

// completeQuestion offers for the last word of a question the kinds of records in plain
// words, and the products and sites that there are. A question in quotes comes as one word.
func (a *app) completeQuestion(c *cobra.Command, _ []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
	at := strings.LastIndexByte(begun, ' ') + 1
	list := []string{"tank tests", "line tests", "line summaries", "sensor status", "alarms", "inventory", "deliveries", "tank limits", "reconciliations"}
	list = append(append(list, a.known(c.Context(), "product")...), a.known(c.Context(), "site")...)
	return starting(begun[at:], begun[:at], list), cobra.ShellCompDirectiveNoFileComp
}

// known lists the values of a filter that the archive's records have. A shell that
// waits is worse than one that offers nothing, so nothing is made or caught up
// with for it.
func (a *app) known(ctx context.Context, name string) []string {
	list, err := intake.Known(ctx, a.archive, name)
	if err != nil {
		cobra.CompDebugln(fmt.Sprintf("%s: %v", name, err), false)
	}
	return list
}

// starting keeps what begins as was typed, in whatever case.
func starting(begun, prefix string, list []string) []cobra.Completion {
	var out []cobra.Completion
	for _, s := range list {
		if len(s) >= len(begun) && strings.EqualFold(s[:len(begun)], begun) {
			out = append(out, prefix+s)
		}
	}
	return out
}

// completes gives a flag its completion.
func completes(c *cobra.Command, flag string, f completion) {
	if err := c.RegisterFlagCompletionFunc(flag, f); err != nil {
		panic("internal error: " + err.Error())
	}
}
