package parts

import (
	"cmp"
	"fmt"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Derate returns what a resistor bears in surroundings at t: rated up to the
// temperature reference, and from there on a straight line down to nothing at limit,
//
//	rated (limit - t)/(limit - reference)
//
// Wire-wound resistors in cement have a limit of about 275 °C, and many are rated
// at 70 °C, as makers' glossaries give it.
//
// It is a *[units.RangeError] if rated is not positive, a temperature not positive
// and finite, or limit not above reference.
func Derate(rated units.Power, t, reference, limit units.Temperature) (units.Power, error) {
	if err := cmp.Or(
		units.Positive("parts: rated power", rated),
		positive("parts: temperature", t),
		positive("parts: reference temperature", reference),
		positive("parts: limit of temperature", limit),
	); err != nil {
		return 0, err
	}
	if !(limit > reference) {
		return 0, &units.RangeError{Field: "parts: limit of temperature", Value: limit.String(), Want: "must be above the reference temperature, " + reference.String()}
	}
	return rated * units.Power(min(1, max(0, (limit-t)/(limit-reference)))), nil
}

// positive is units.Positive, whose message would name no limit a person knows.
func positive(field string, t units.Temperature) error {
	if err := units.Positive(field, float64(t)); err != nil {
		return &units.RangeError{Field: field, Value: t.String(), Want: "must be above absolute zero and finite"}
	}
	return nil
}

// Bears returns the share of its rating that a duty takes of the item, in
// surroundings at t. Above 1 is too much.
//
//	resistor               power, over the rating by [Derate] with 70 °C and 275 °C
//	capacitor              peak voltage
//	air-core coil          RMS current
//	iron-cored coil        peak current, which saturates the core
//
// The voltage of a capacitor is that for direct voltage, as makers print it. What it
// bears of alternating voltage is less, for film by a third and more, and falls with
// the frequency; electrolytic capacitors also bear only so much current. Neither
// stands in a price list: keep a margin. The heat of a coil with iron is not judged.
//
// It is a *[units.RangeError] if the item has no rating, if what counts of the duty
// is negative or not finite, if a peak is below its RMS, if t is not above absolute
// zero, or if the resistor bears nothing at t.
func (i Item) Bears(d ladder.Duty, t units.Temperature) (units.Ratio, error) {
	field := "parts: " + i.ID
	switch i.Part.Kind {
	case ladder.Resistor:
		if err := rated(field, i.Rating.Power); err != nil {
			return 0, err
		}
		limit, err := Derate(i.Rating.Power, t, units.Celsius(70), units.Celsius(275))
		if err != nil {
			return 0, err
		}
		if limit == 0 {
			return 0, &units.RangeError{Field: field + ": surroundings", Value: t.String(), Want: "must be below " + units.Celsius(275).String() + ", where it bears nothing"}
		}
		return share(field+": power", d.Power, d.Power, limit)
	case ladder.Capacitor:
		if err := cmp.Or(positive("parts: temperature", t), rated(field, i.Rating.Voltage)); err != nil {
			return 0, err
		}
		return share(field+": peak voltage", d.PeakVoltage, d.Voltage, i.Rating.Voltage)
	}
	if err := cmp.Or(positive("parts: temperature", t), rated(field, i.Rating.Current)); err != nil {
		return 0, err
	}
	if i.Kind == IronCoil {
		return share(field+": peak current", d.PeakCurrent, d.Current, i.Rating.Current)
	}
	return share(field+": current", d.Current, d.Current, i.Rating.Current)
}

func rated[Q ~float64](field string, rating Q) error {
	if rating == 0 {
		return &units.RangeError{Field: field + ": rating", Value: "not given", Want: "must be known"}
	}
	return units.Positive(field+": rating", rating)
}

func share[Q ~float64](field string, peak, rms, limit Q) (units.Ratio, error) {
	if err := cmp.Or(units.NotNegative(field, peak), units.NotNegative(field+": RMS", rms)); err != nil {
		return 0, err
	}
	if peak < rms {
		return 0, &units.RangeError{Field: field, Value: fmt.Sprint(peak), Want: "must be at least the RMS, " + fmt.Sprint(rms)}
	}
	return units.Ratio(peak / limit), nil
}
