// Package sealed encrypts what leaves the machine to public keys, and opens it again
// with the private one, in the format of age (age-encryption.org/v1), which other
// programs read.
package sealed

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"filippo.io/age"
)

// head is how a sealed file begins.
const head = "age-encryption.org/v1\n"

// Keys are the public keys that something is sealed to: whoever has the private key
// of one can open it. With none nothing is sealed.
type Keys struct{ to []age.Recipient }

// ReadKeys reads public keys, "age1…", with blanks between them.
func ReadKeys(text string) (Keys, error) {
	if strings.TrimSpace(text) == "" {
		return Keys{}, nil
	}
	to, err := age.ParseRecipients(strings.NewReader(strings.Join(strings.Fields(text), "\n")))
	if err != nil {
		return Keys{}, errors.New("it is not a public key; one begins with age1, and age-keygen makes it")
	}
	return Keys{to}, nil
}

// None reports whether there are no keys.
func (k Keys) None() bool { return len(k.to) == 0 }

// Seal returns where to write what is to be sealed. It is whole once that is closed.
func (k Keys) Seal(to io.Writer) (io.WriteCloser, error) { return age.Encrypt(to, k.to...) }

// Is reports whether the file at a path is a sealed one.
func Is(path string) (is bool, err error) {
	file, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	start := make([]byte, len(head))
	n, err := io.ReadFull(file, start)
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = nil
	}
	return string(start[:n]) == head, err
}

// ErrOtherKey: it was sealed to other keys.
var ErrOtherKey = errors.New("it was encrypted to another key")

// Open writes what is sealed in the file at a path, with a private key of the file
// named.
//
// Errors: ErrOtherKey. After an error what was written is of no use.
func Open(to io.Writer, path, keyPath string) (err error) {
	identities, err := readIdentities(keyPath)
	if err != nil {
		return fmt.Errorf("%s: %w", keyPath, err)
	}
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	plain, err := age.Decrypt(bufio.NewReader(file), identities...)
	var other *age.NoIdentityMatchError
	if errors.As(err, &other) {
		return fmt.Errorf("%s: %w", path, ErrOtherKey)
	}
	if err == nil {
		_, err = io.Copy(to, plain)
	}
	if err != nil {
		return fmt.Errorf("%s cannot be decrypted: %w", path, err)
	}
	return nil
}

// readIdentities reads a file of private keys. What is in it is in no error.
func readIdentities(path string) (all []age.Identity, err error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	if all, err = age.ParseIdentities(file); err != nil {
		return nil, errors.New("it is no file of private keys, as age-keygen makes it; one with a passphrase is to " +
			"be decrypted first")
	}
	return all, nil
}
