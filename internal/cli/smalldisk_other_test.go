//go:build !unix

package cli

// smallDisk needs setrlimit; the story asks for it on other systems only.
func smallDisk([]string) int { return 3 }
