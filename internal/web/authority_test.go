package web_test

import (
	"crypto/rand"
	"crypto/x509"
	"testing"
	"time"

	"fairplot/internal/web"
)

// TestAuthorityIsLimited verifies leaves as a client does: local ones hold, and a leaf never lists a name that would spoil the rest.
func TestAuthorityIsLimited(t *testing.T) {
	now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	a, cert, key, err := web.NewAuthority(func() time.Time { return now }, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := web.LoadAuthority(cert, key, time.Now, rand.Reader); err != nil {
		t.Fatal(err)
	}
	leaf, err := a.Leaf([]string{"kitchen.local", "192.168.1.20", "shop.example", "203.0.113.7"})
	if err != nil {
		t.Fatal(err)
	}
	root, _ := x509.ParseCertificate(a.Certificate())
	roots := x509.NewCertPool()
	roots.AddCert(root)
	for name, good := range map[string]bool{"kitchen.local": true, "192.168.1.20": true, "shop.example": false, "203.0.113.7": false} {
		_, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: name, Roots: roots, CurrentTime: now})
		if (err == nil) != good {
			t.Errorf("%s: %v, want good %v", name, err, good)
		}
	}
	if days := leaf.Leaf.NotAfter.Sub(now).Hours() / 24; days > 825 {
		t.Errorf("the leaf lives %.0f days; phones refuse more than 825", days)
	}
	again, _ := a.Leaf([]string{"kitchen.local", "192.168.1.20", "shop.example", "203.0.113.7"})
	if again != leaf {
		t.Error("the same names got another leaf")
	}
	if moved, _ := a.Leaf([]string{"kitchen.local", "192.168.1.21"}); moved == leaf {
		t.Error("another address got the old leaf")
	}
	if _, err := a.Leaf([]string{"shop.example"}); err == nil {
		t.Error("a leaf was made for a name that is not local")
	}
}
