// Package web is tankroll in a browser: a clerk's phone sends photos of
// printouts and shows at once what was read beside the picture; a desk asks,
// corrects, and sees what is covered.
//
// New gives the pages as one http.Handler over a Desk; Server wraps a handler
// with the timeouts that its pages need. Every page works with plain forms; the
// one small script only shows the chosen photos before they are sent and the
// place of a field on the paper while it is edited.
//
// The pages hold no logic of the trade. They show what the desk says, take
// what a person decides, and check only what the person typed.
package web
