package web

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net"
	"strings"
	"sync"
	"time"
)

// Authority is a certificate authority of this home. It can speak for local names and private addresses only, so that a stolen key cannot stand
// for a shop or a bank. Phones that install its certificate can open the pages over https, and with no signal.
type Authority struct {
	cert   *x509.Certificate
	key    *ecdsa.PrivateKey
	now    func() time.Time
	random io.Reader

	mu    sync.Mutex
	leaf  *tls.Certificate
	names string
}

// Lives of the certificates: phones of one maker refuse leaves over 825 days, so a leaf lives 397 and is made anew when 60 are left.
const (
	authorityYears = 10
	leafDays       = 397
	renewDays      = 60
)

// localDomains are the names it may speak for.
var localDomains = []string{"local", "lan", "home.arpa", "localhost"}

// privateRanges are the addresses it may speak for (RFC 1918, 3927, 4193, 4291).
func privateRanges() []*net.IPNet {
	var out []*net.IPNet
	for _, cidr := range []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "169.254.0.0/16", "fc00::/7", "fe80::/10", "::1/128"} {
		if _, n, err := net.ParseCIDR(cidr); err == nil {
			out = append(out, n)
		}
	}
	return out
}

// NewAuthority makes an authority and returns it with its certificate and key as PEM, to be kept outside the book.
func NewAuthority(now func() time.Time, random io.Reader) (a *Authority, certificate, key []byte, err error) {
	private, err := ecdsa.GenerateKey(elliptic.P256(), random)
	if err != nil {
		return nil, nil, nil, err
	}
	t := &x509.Certificate{
		SerialNumber: big.NewInt(now().UnixNano()), Subject: pkix.Name{CommonName: "Fairplot book of this home"},
		NotBefore: now().Add(-24 * time.Hour), NotAfter: now().AddDate(authorityYears, 0, 0),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true,
		KeyUsage:                    x509.KeyUsageCertSign | x509.KeyUsageCRLSign,
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: localDomains, PermittedIPRanges: privateRanges(),
	}
	der, err := x509.CreateCertificate(random, t, t, &private.PublicKey, private)
	if err != nil {
		return nil, nil, nil, err
	}
	keyDER, err := x509.MarshalECPrivateKey(private)
	if err != nil {
		return nil, nil, nil, err
	}
	certificate = pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	key = pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: keyDER})
	a, err = LoadAuthority(certificate, key, now, random)
	return a, certificate, key, err
}

// LoadAuthority reads an authority from what NewAuthority returned.
func LoadAuthority(certificate, key []byte, now func() time.Time, random io.Reader) (*Authority, error) {
	c, _ := pem.Decode(certificate)
	k, _ := pem.Decode(key)
	if c == nil || k == nil {
		return nil, errors.New("the certificate or key of this home cannot be read; remove both files to make new ones, then join the phones anew")
	}
	cert, err := x509.ParseCertificate(c.Bytes)
	if err != nil {
		return nil, err
	}
	private, err := x509.ParseECPrivateKey(k.Bytes)
	if err != nil {
		return nil, err
	}
	return &Authority{cert: cert, key: private, now: now, random: random}, nil
}

// Certificate is the authority's certificate as phones install it (DER).
func (a *Authority) Certificate() []byte { return a.cert.Raw }

// Fingerprint is the SHA-256 of the certificate in groups of four, to be compared by eye.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.cert.Raw)
	text := strings.ToUpper(hex.EncodeToString(sum[:]))
	var groups []string
	for i := 0; i < len(text); i += 4 {
		groups = append(groups, text[i:i+4])
	}
	return strings.Join(groups, " ")
}

// Leaf returns a certificate for the names and addresses, made anew when they change or its days run out. Those the authority may not speak for are
// left out: one of them would spoil all.
func (a *Authority) Leaf(names []string) (*tls.Certificate, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	key := strings.Join(names, " ")
	if a.leaf != nil && a.names == key && a.now().Before(a.leaf.Leaf.NotAfter.AddDate(0, 0, -renewDays)) {
		return a.leaf, nil
	}
	private, err := ecdsa.GenerateKey(elliptic.P256(), a.random)
	if err != nil {
		return nil, err
	}
	t := &x509.Certificate{
		SerialNumber: big.NewInt(a.now().UnixNano()), Subject: pkix.Name{CommonName: "Fairplot"},
		NotBefore: a.now().Add(-24 * time.Hour), NotAfter: a.now().AddDate(0, 0, leafDays),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	t.DNSNames, t.IPAddresses = local(names)
	if len(t.DNSNames)+len(t.IPAddresses) == 0 {
		return nil, fmt.Errorf("none of %s is a local name or a private address", key)
	}
	der, err := x509.CreateCertificate(a.random, t, a.cert, &private.PublicKey, a.key)
	if err != nil {
		return nil, err
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	a.leaf, a.names = &tls.Certificate{Certificate: [][]byte{der, a.cert.Raw}, PrivateKey: private, Leaf: leaf}, key
	return a.leaf, nil
}

// local sorts out the names and addresses that the authority may speak for.
func local(names []string) (dns []string, ips []net.IP) {
	for _, n := range names {
		if ip := net.ParseIP(n); ip != nil {
			for _, r := range privateRanges() {
				if r.Contains(ip) {
					ips = append(ips, ip)
					break
				}
			}
			continue
		}
		for _, d := range localDomains {
			if n == d || strings.HasSuffix(n, "."+d) {
				dns = append(dns, n)
				break
			}
		}
	}
	return dns, ips
}
