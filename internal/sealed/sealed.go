// Package sealed encrypts files to public keys and decrypts them with a private one, in the format of age
// (age-encryption.org/v1), which other programs read.
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

// head begins every sealed file.
const head = "age-encryption.org/v1\n"

// Keys are the public keys that a file is encrypted to: the private key of any one of them opens it.
type Keys struct{ to []age.Recipient }

// ReadKeys reads public keys, "age1…", separated by blanks.
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

// Seal returns a writer that encrypts into to. The encrypted file is complete once the writer is closed.
func (k Keys) Seal(to io.Writer) (io.WriteCloser, error) { return age.Encrypt(to, k.to...) }

// Is reports whether the file at a path is encrypted.
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

// ErrOtherKey: the file was encrypted to other keys.
var ErrOtherKey = errors.New("it was encrypted to another key")

// Open decrypts the file at path into to, with a private key from the file at keyPath.
//
// Errors: ErrOtherKey. After an error, discard what was written.
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
	if _, is := errors.AsType[*age.NoIdentityMatchError](err); is {
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

// readIdentities reads a file of private keys. Its errors quote nothing of the file.
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
