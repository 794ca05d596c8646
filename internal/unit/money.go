package unit

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// signs are the currency signs that stand for one currency alone. The dollar sign does not.
var signs = []struct{ sign, code string }{{"€", "EUR"}, {"£", "GBP"}, {"₹", "INR"}, {"₺", "TRY"}, {"₴", "UAH"}, {"zł", "PLN"}}

// dollars are currencies written with the dollar sign (ISO 4217 codes).
var dollars = []string{"USD", "CAD", "AUD", "NZD", "HKD", "SGD"}

// Money reads an amount with at most two digits behind the mark: € 3,50, 12.40 EUR, 5. Without a currency it is in the
// book's own.
func (r Reader) Money(s string) (Money, error) {
	text := clean(s)
	if text == "" {
		return Money{}, &Error{Text: "there is no amount of money", Hint: "write one such as 3.50 or 12.40 EUR"}
	}
	before, text := front(text)
	value, places, rest, err := number(text)
	if err != nil {
		return Money{}, err
	}
	name := strings.TrimSpace(before + rest)
	currency, err := r.currency(s, name)
	if err != nil {
		return Money{}, err
	}
	hundredths := math.Round(value * 100)
	if places > 2 || math.Abs(hundredths-value*100) > 1e-6*math.Max(1, math.Abs(hundredths)) {
		return Money{}, &Error{Text: fmt.Sprintf("%q has more than two digits behind the mark", shorten(s)), Hint: "money is kept in hundredths, and there is no thousands mark: write 1234.50"}
	}
	if math.Abs(hundredths) > 1e15 {
		return Money{}, &Error{Text: fmt.Sprintf("%q is too large to be kept", shorten(s)), Hint: "is a mark missing?"}
	}
	return Money{Hundredths: int64(hundredths), Currency: currency}, nil
}

// front cuts off what stands before the first digit, sign or mark.
func front(s string) (before, rest string) {
	i := strings.IndexAny(s, "0123456789+-.,")
	if i < 0 {
		return "", s
	}
	return s[:i], s[i:]
}

func (r Reader) currency(s, name string) (string, error) {
	for _, c := range signs {
		if name == c.sign {
			return r.own(c.code), nil
		}
	}
	switch {
	case name == "":
		return "", nil
	case name == "$" && slices.Contains(dollars, r.Currency):
		return "", nil
	case name == "$":
		return "", &Error{Text: fmt.Sprintf("%q does not say which dollar", shorten(s)), Hint: "write 5 USD, or set the book's currency"}
	case len(name) == 3 && strings.Trim(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == "":
		return r.own(name), nil
	}
	return "", &Error{Text: fmt.Sprintf("%q is no currency that is known here", shorten(name)), Hint: "write its three capital letters, such as 3.50 EUR"}
}

// own leaves out the book's own currency.
func (r Reader) own(code string) string {
	if code == r.Currency {
		return ""
	}
	return code
}

// Format returns the amount with its currency, such as 12.40 EUR; own stands in where the amount names none.
func (m Money) Format(own string) string {
	currency := m.Currency
	if currency == "" {
		currency = own
	}
	sign, n := "", m.Hundredths
	if n < 0 {
		sign = "-"
	}
	whole, part := n/100, n%100
	s := sign + strings.TrimPrefix(strconv.FormatInt(whole, 10), "-") + fmt.Sprintf(".%02d", max(part, -part))
	if currency == "" {
		return s
	}
	return s + " " + currency
}

// Price reads an amount of money per unit of volume or mass: € 30/m3, 4.50 per kg. The unit is returned as written.
func (r Reader) Price(s string) (m Money, per string, err error) {
	above, per, ok := cutPer(clean(s))
	if !ok {
		m, err = r.Money(s)
		return m, "", err
	}
	if m, err = r.Money(above); err != nil {
		return Money{}, "", err
	}
	for _, d := range []dimension{volume, mass} {
		if _, known := r.lookUp(d, per); known {
			return m, per, nil
		}
	}
	return Money{}, "", &Error{Text: fmt.Sprintf("%q is neither a volume nor a weight", shorten(per)), Hint: "write a price as in 30 EUR/m3 or 4.50 EUR/kg"}
}
