package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/web"
)

// readPhones reads the joined phones; a file that is not there is none.
func readPhones(file string) ([]web.Phone, error) {
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var list []web.Phone
	if err == nil {
		err = json.Unmarshal(data, &list)
	}
	if err != nil {
		return nil, &garden.Error{Kind: garden.Damaged, Text: "the list of phones " + file + " cannot be read", Hint: "remove it and join the phones anew; what they hold is kept", Cause: err}
	}
	return list, nil
}

func writePhones(file string, list []web.Phone) error {
	data, err := json.MarshalIndent(list, "", " ")
	if err != nil {
		return err
	}
	return writeSecret(file, append(data, '\n'))
}

// writeSecret writes a file that only its owner may read, whole or not at all.
func writeSecret(file string, data []byte) error {
	part := file + ".part"
	f, err := os.OpenFile(part, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return &garden.Error{Kind: garden.ReadOnly, Text: file + " cannot be written", Hint: "check that you may write to the folder of the book", Cause: err}
	}
	_, err = f.Write(data)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(part))
	}
	return os.Rename(part, file)
}

// authority reads the certificate of this home, or makes it the first time.
func (a *app) authority(certificate, key string) (*web.Authority, error) {
	cert, err1 := os.ReadFile(certificate)
	private, err2 := os.ReadFile(key)
	if errors.Is(err1, fs.ErrNotExist) && errors.Is(err2, fs.ErrNotExist) {
		made, cert, private, err := web.NewAuthority(a.env.Now, a.env.Entropy)
		if err != nil {
			return nil, err
		}
		a.words("a certificate of this home was made; it can stand for local names only")
		return made, errors.Join(writeSecret(key, private), writeSecret(certificate, cert))
	}
	if err := errors.Join(err1, err2); err != nil {
		return nil, &garden.Error{Kind: garden.Damaged, Text: "the certificate of this home is not whole", Hint: "remove " + certificate + " and " + key + " to make a new one; phones must then install it anew", Cause: err}
	}
	return web.LoadAuthority(cert, private, a.env.Now, a.env.Entropy)
}

// entriesWord stands in the place of a noun for a file of a phone's entries, which are of several kinds.
const entriesWord = "entries"

// importEntries takes in a file of entries that a phone could not send, by the same door as what it sends.
func (a *app) importEntries(name string) error {
	data, err := os.ReadFile(a.path(name))
	if err != nil {
		return &garden.Error{Kind: garden.Missing, Text: "the file " + name + " cannot be read", Hint: "check its name and that you may read it", Cause: err}
	}
	s, _, err := a.webServer()
	if err != nil {
		return err
	}
	got, err := s.TakeFile(a.ctx, bytes.NewReader(data), garden.DeviceID{})
	if err != nil {
		return err
	}
	counts := map[string]int{}
	for i, g := range got {
		counts[g.Is]++
		if g.Is == "refused" || g.Is == "later" {
			a.words("line %d: %s", i+1, strings.TrimSpace(g.Why))
		}
	}
	fmt.Fprintf(a.env.Stdout, "entries: %d new, %d were here before, %d refused\n", counts["new"], counts["had"], counts["refused"]+counts["later"])
	if counts["refused"]+counts["later"] > 0 {
		return &toldError{status: couldNot}
	}
	return nil
}
