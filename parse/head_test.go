package parse_test

import (
	"fmt"
	"strings"
	"testing"

	"tankroll/parse"
	"tankroll/record"
)

// stockBody is what stands below the heads of TestHeads.
const stockBody = `
TANK PRODUCT   VOLUME GAL  ULLAGE GAL  HEIGHT IN
 1   REGULAR   4210        5790        38.20
 2   DIESEL    6003        1997        61.75
`

// alarmBody are records that have dates of their own.
const alarmBody = `
03/12/25 04:11
TANK 2 HIGH WATER
03/13/25 22:40
SENSOR 3 FUEL ALARM
`

// headText is a header in one line: "?" behind what is not sure.
func headText(h record.Header) string {
	var out []string
	for _, f := range []*record.Field{h.Site, h.SiteNumber, h.Address, h.PrintedAt} {
		switch {
		case f == nil:
			out = append(out, "-")
		case f.Sure:
			out = append(out, fmt.Sprint(f.Value))
		default:
			out = append(out, fmt.Sprint(f.Value)+" ?")
		}
	}
	return strings.Join(out, " | ")
}

// TestHeads reads the heads and feet of printouts in many orders and wordings.
func TestHeads(t *testing.T) {
	for _, c := range []struct {
		name, text, want string
	}{
		{"labels side by side", "Site: PELLING HOLLOW      No: 114\nDate: 03/14/25        Time: 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | 114 | - | 2025-03-14T07:15"},
		{"date at both ends of a line", "03/14/25                            07:15\nPELLING HOLLOW #114\n204 MARKET ST\nPELLING OH 44102  555-0142\nINVENTORY REPORT" + stockBody,
			"PELLING HOLLOW | 114 | 204 MARKET ST PELLING OH 44102 ? | 2025-03-14T07:15"},
		{"owner above the name", "TARN FUELS INC\nPELLING HOLLOW\n204 MARKET ST, PELLING OH 44102\nPRINTED 03/14/25 07:15\nINVENTORY REPORT" + stockBody,
			"PELLING HOLLOW ? | - | 204 MARKET ST, PELLING OH 44102 | 2025-03-14T07:15"},
		{"labels without marks", "SITE NAME PELLING HOLLOW\nSITE NO 114\nADDRESS 204 MARKET ST, PELLING\nPRINT DATE 03/14/25\nPRINT TIME 07:15\nINVENTORY REPORT" + stockBody,
			"PELLING HOLLOW | 114 | 204 MARKET ST, PELLING | 2025-03-14T07:15"},
		{"number behind a comma", "Pelling Hollow, Site 114\nInventory report at 07:15 on 14 March 2025" + stockBody,
			"Pelling Hollow | 114 | - | 2025-03-14T07:15"},
		{"number before a colon", "Site 114: Pelling Hollow\nInventory as of 03/14/25 07:15" + stockBody,
			"Pelling Hollow | 114 | - | 2025-03-14T07:15"},
		{"number in square brackets", "[114] PELLING HOLLOW\nMarket Street, Pelling\n=== INVENTORY ===\n03/14/25 07:15" + stockBody,
			"PELLING HOLLOW | 114 | Market Street, Pelling | 2025-03-14T07:15"},
		{"store number behind the name", "PELLING HOLLOW STORE 114\n03/14/25 07:15 AM\nSTOCK ON HAND" + stockBody,
			"PELLING HOLLOW | 114 | - | 2025-03-14T07:15"},
		{"all in one line at the foot", "INVENTORY" + stockBody + "-----------------------\nPelling Hollow (114) - 204 Market St, Pelling\n14 Mar 2025 07:15",
			"Pelling Hollow | 114 | 204 Market St, Pelling | 2025-03-14T07:15"},
		{"sentence of printing", "PELLING HOLLOW\nThis report was printed on 14 March 2025 at 07:15\nINVENTORY REPORT" + stockBody,
			"PELLING HOLLOW | - | - | 2025-03-14T07:15"},
		{"framed", "+----------------------------+\n| PELLING HOLLOW    SITE 114 |\n| 204 MARKET ST, PELLING     |\n| 03/14/25          07:15:44 |\n+----------------------------+\nINVENTORY" + stockBody,
			"PELLING HOLLOW | 114 | 204 MARKET ST, PELLING | 2025-03-14T07:15:44"},
		{"title with a number", "INVENTORY REPORT NO. 23\nPELLING HOLLOW\nSTORE NO. 114\nMON 03/14/25 7:15P" + stockBody,
			"PELLING HOLLOW | 114 | - | 2025-03-14T19:15"},
		{"town with its code in figures first", "PELLING HOLLOW\nPRINTED 03/14/25 07:15\nPlot 55, Jalan Market\n43200 Pelling, Selangor\nINVENTORY" + stockBody,
			"PELLING HOLLOW | - | Plot 55, Jalan Market 43200 Pelling, Selangor ? | 2025-03-14T07:15"},
		{"town below a label of its own", "STORE NAME: PELLING HOLLOW\nSTORE NO.: 6\nSTREET: 204 MARKET ST\nCITY/STATE: PELLING, OH\nPRINTED: 03/14/25 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | 6 | 204 MARKET ST PELLING, OH | 2025-03-14T07:15"},
		{"suburb below a street", "STORE NAME: PELLING HOLLOW\nSTORE NO.: 6\nSTREET: 204 MARKET ST\nSUBURB: UPPER PELLING\nPRINTED: 03/14/25 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | 6 | 204 MARKET ST UPPER PELLING ? | 2025-03-14T07:15"},
		{"what may be the site's number behind a street", "PELLING HOLLOW\n204 MARKET ST #7\n03/14/25 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | - | 204 MARKET ST #7 ? | 2025-03-14T07:15"},
		{"a slogan between", "PELLING HOLLOW\nWhere friends fill up\n204 MARKET ST, PELLING OH 44102\n(555) 555-0142\nPrinted: 03/14/25 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW ? | - | 204 MARKET ST, PELLING OH 44102 | 2025-03-14T07:15"},
		{"name of the trade's words", "THE FUEL DEPOT\n204 MARKET ST, PELLING OH 44102\n03/14/25 07:15\nINVENTORY" + stockBody,
			"THE FUEL DEPOT ? | - | 204 MARKET ST, PELLING OH 44102 | 2025-03-14T07:15"},
		{"station as a name", "MARKET STREET STATION\n204 MARKET ST, PELLING OH 44102\n03/14/25 07:15\nINVENTORY" + stockBody,
			"MARKET STREET STATION | - | 204 MARKET ST, PELLING OH 44102 | 2025-03-14T07:15"},
		{"a town alone below the street", "PELLING HOLLOW\n204 MARKET ST\nPELLING\n03/14/25 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | - | 204 MARKET ST PELLING ? | 2025-03-14T07:15"},
		{"a country alone below the town", "Pelling Hollow Garage   Site 114\nTarn Road, Pelling\nCo. Armoy\n14 Mar 2025 07:15\nINVENTORY" + stockBody,
			"Pelling Hollow Garage | 114 | Tarn Road, Pelling Co. Armoy | 2025-03-14T07:15"},
		{"a village and its town below the street", "PELLING HOLLOW\n204 MARKET ST\nTARN\nPELLING OH 44102\n03/14/25 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | - | 204 MARKET ST TARN PELLING OH 44102 | 2025-03-14T07:15"},
		{"words with a country that may be the name", "204 MARKET ST\nPELLING FUELS, JAMAICA\n03/14/25 07:15\nINVENTORY" + stockBody,
			"- | - | 204 MARKET ST PELLING FUELS, JAMAICA ? | 2025-03-14T07:15"},
		{"a way without a house", "PELLING HOLLOW    SITE 114\nTARN LANE\nPELLING W MARCHES\n14-MAR-2025 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | 114 | TARN LANE PELLING W MARCHES ? | 2025-03-14T07:15"},
		{"a way, a town and a county in cells", "      PELLING HOLLOW\nTARN STREET   PELLING   CO ARMOY\n14/03/2025          07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | - | TARN STREET PELLING CO ARMOY ? | 2025-03-14T07:15"},
		{"a highway by its sign", "PELLING HOLLOW\nSH 12, TARN BEACH\nSITE NO: 114\n14/03/2025 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | 114 | SH 12, TARN BEACH ? | 2025-03-14T07:15"},
		{"a state that is a word of the trade", "PELLING HOLLOW\n20 Market Ave, Pelling HI\nSite No. 114\n2025/03/14 07:15\nINVENTORY" + stockBody,
			"PELLING HOLLOW | 114 | 20 Market Ave, Pelling HI | 2025-03-14T07:15"},
		{"alarms below a head without a date", "ALARM HISTORY\nPELLING HOLLOW\nSITE 114" + alarmBody,
			"PELLING HOLLOW | 114 | - | -"},
		{"alarms below a dated head", "ALARM HISTORY\nPELLING HOLLOW\n03/14/25 07:15\n--------------" + alarmBody,
			"PELLING HOLLOW | - | - | 2025-03-14T07:15"},
		{"alarms with nothing above", "ALARM HISTORY" + alarmBody, "- | - | - | -"},
		{"closing lines", "PELLING HOLLOW\nSITE 114\nINVENTORY" + stockBody + "PRINTED 03/14/25 07:15\nSIGNED BY J. HARBOTTLE\nCONTINUED ON PAGE 2\nTHANK YOU",
			"PELLING HOLLOW | 114 | - | 2025-03-14T07:15"},
		{"lower case", "pelling hollow fuels\n204 market st\npelling, oh 44102\ntime 7:15a  date 3/14/25\nfuel inventory" + stockBody,
			"pelling hollow fuels | - | 204 market st pelling, oh 44102 | 2025-03-14T07:15"},
		{"date and time on lines of their own", "INVENTORY\nDate 03/14/25\nTime 07:15\nStation 114" + stockBody,
			"- | 114 | - | 2025-03-14T07:15"},
		{"labels two in a line", "ALARM HISTORY\nSTATION: PELLING HOLLOW   TIME: 07:15\nNUMBER: 114   DATE: 03/14/25" + alarmBody,
			"PELLING HOLLOW | 114 | - | 2025-03-14T07:15"},
		{"date beside the site's number at the foot", "PELLING HOLLOW\nINVENTORY" + stockBody + "03/14/25 07:15  SITE 114\n",
			"PELLING HOLLOW | 114 | - | 2025-03-14T07:15"},
		{"name and date below the end", "INVENTORY" + stockBody + "END OF REPORT\n03/14/25 07:15 PELLING HOLLOW\n",
			"PELLING HOLLOW | - | - | 2025-03-14T07:15"},
		{"a street without a word for a way", "INVENTORY" + stockBody + "-----------------------\nPelling Hollow  (Stn 114)\nB12 East,\nUpper Pelling 6970\nTel 555 555 0142",
			"Pelling Hollow | 114 | B12 East, Upper Pelling 6970 ? | -"},
		{"numbers of blocks", "<INVENTORY>\nPELLING-CHO OIL STATION\n3-11-2 HOLLOW, PELLING\n2025/03/14 (FRI) 07:15\n----------------" + stockBody + "MODEL 4C      PAGE 1/1",
			"PELLING-CHO OIL STATION | - | 3-11-2 HOLLOW, PELLING ? | 2025-03-14T07:15"},
		{"a request with a span of time", "INVENTORY" + stockBody + "-----------------------\nPelling Hollow    Site no. 114\nPrinted 07:15 on 14 March 2025\nPlease keep this slip for 3 years.",
			"Pelling Hollow | 114 | - | 2025-03-14T07:15"},
		{"a way of another tongue", "INVENTORY" + stockBody + "-----------------------\nStation 114   PELLING SERVICE\nHollowgade 14, 6700 Pelling\nSW 1.4             Page 1 of 1",
			"PELLING SERVICE | 114 | Hollowgade 14, 6700 Pelling ? | -"},
		{"a way that has a number for a name", "PELLING GAS BAR       Site 114\n5011 - 50 Ave, Leduc AB\nINVENTORY\nPrinted 03/14/25 07:15" + stockBody,
			"PELLING GAS BAR | 114 | 5011 - 50 Ave, Leduc AB | 2025-03-14T07:15"},
		{"number in one word with its word", "[INVENTORY]\n2025/03/14 07:15:12\n****************" + stockBody + "****************\nPELLING SELF STATION (No.114)\n88 Hollow-ro, Upper, Pelling\nTEL 555-555-0142",
			"PELLING SELF STATION | 114 | 88 Hollow-ro, Upper, Pelling | 2025-03-14T07:15:12"},
		{"a date apart from a list of dates", "** ALARM HISTORY **\n  03/14/25 7:15A\n" + alarmBody,
			"- | - | - | 2025-03-14T07:15"},
		{"a labelled date apart from a list of dates", "ALARM HISTORY\nSite  : PELLING HOLLOW\nTime  : 03/14/25 7:15A\n" + alarmBody,
			"PELLING HOLLOW | - | - | 2025-03-14T07:15"},
		{"a date that opens a list of dates", "ALARM HISTORY\n03/14/25 7:15A\nSENSOR 1 WATER ALARM" + strings.TrimSuffix(alarmBody, "03/13/25 22:40\nSENSOR 3 FUEL ALARM\n"),
			"- | - | - | -"},
		{"a name and a dated title", "PELLING HOLLOW\nINVENTORY of 14 March 2025, 07:15" + stockBody,
			"PELLING HOLLOW | - | - | 2025-03-14T07:15"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := readTyped(c.text, parse.Hints{})
			if got := headText(r.Header); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			if len(r.Records) != 2 {
				t.Errorf("%d records, want 2", len(r.Records))
			}
		})
	}
}
