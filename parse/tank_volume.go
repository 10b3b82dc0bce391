package parse

import "tankroll/record"

// tankVolume tells the volume of a tank from that of the fuel in it, where an inventory
// names both: TANK VOLUME 15000, FUEL IN TANK 6279. The first is what the tank can hold.
func (d *doc) tankVolume(dr *draft, f *fact) {
	if dr.kind != record.Inventory || f.field != "volume" || dr.has("capacity") {
		return
	}
	for i := range dr.facts {
		o := &dr.facts[i]
		if o.field != "volume" {
			continue
		}
		switch a, b := d.ofTankAlone(o.label), d.ofTankAlone(f.label); {
		case a && !b && o.read.num.Value > f.read.num.Value:
			o.field = "capacity"
		case b && !a && f.read.num.Value > o.read.num.Value:
			f.field = "capacity"
		}
		return
	}
}

// ofTankAlone reports whether a label speaks of the volume of a tank and not of what is in
// it.
func (d *doc) ofTankAlone(label []token) bool {
	bag, _, _ := d.bag(label)
	return bag == bagOf("tank", "volume")
}
