package main

import (
	"bufio"
	"context"
	"io"
	"io/fs"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.org/gripleaf/theme"
)

// What README says is run as it stands there: a reader who types it gets what it promises.

var readmeFile, _ = filepath.Abs("../../README.md") // also for a test that goes elsewhere

func readme(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(readmeFile)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// blocks are the fenced blocks of README in a language.
func blocks(t *testing.T, language string) []string {
	t.Helper()
	var list []string
	for _, m := range regexp.MustCompile("(?ms)^```"+language+"\n(.*?)^```$").FindAllStringSubmatch(readme(t), -1) {
		list = append(list, m[1])
	}
	return list
}

// program builds the command once for the tests of README.
func program(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "gripleaf")
	if out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return path
}

func TestReadmeBeginsWithTheJob(t *testing.T) {
	paragraphs := strings.Split(readme(t), "\n\n")
	if paragraphs[0] != "# Gripleaf" || strings.Count(paragraphs[1], ". ") < 4 || strings.Contains(paragraphs[1], "\n") {
		t.Errorf("README does not open with the job in one paragraph, but with %q", paragraphs[1])
	}
}

// TestReadmeStart runs the first command of README and asks the page whose address it says.
func TestReadmeStart(t *testing.T) {
	commands := blocks(t, "sh")
	if len(commands) < 2 || commands[0] != "go run ./cmd/gripleaf preview\n" || commands[1] != "go test ./...\n" {
		t.Fatalf("README starts with %q", commands)
	}
	ci, err := os.ReadFile("../../.ci/run")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(ci), "\n"+strings.TrimSpace(commands[1])+" || failed=1\n") {
		t.Error(".ci/run does not run README's test command, or does not mind how it ends")
	}
	serve(t, program(t), "../..")
}

// serve starts the preview in a folder, gets its first page, and stops it as Ctrl-C does.
func serve(t *testing.T, gripleaf, folder string) {
	t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), 4*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, gripleaf, "preview")
	cmd.Dir = folder
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stderr = cmd.Stdout
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	address := regexp.MustCompile(`http://[0-9.:]+/`)
	said, built := "", false
	for lines := bufio.NewScanner(out); !built && lines.Scan(); {
		said += lines.Text() + "\n"
		built = strings.Contains(lines.Text(), " checked")
	}
	if at := address.FindString(said); at == "" || !built {
		t.Errorf("preview says no address, or builds nothing:\n%s", said)
	} else {
		get(t, at)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Error(err)
	}
	_, _ = io.Copy(io.Discard, out)
	if err := cmd.Wait(); err != nil {
		t.Errorf("preview stopped with %v", err)
	}
}

func get(t *testing.T, address string) {
	t.Helper()
	reply, err := http.Get(address)
	if err != nil {
		t.Error(err)
		return
	}
	defer reply.Body.Close()
	page, err := io.ReadAll(reply.Body)
	if err != nil || reply.StatusCode != http.StatusOK || !strings.Contains(string(page), "<h1") {
		t.Errorf("%s: %s, %v", address, reply.Status, err)
	}
}

// TestReadmeBegin follows README into an empty folder: a new site, its preview, its proof.
func TestReadmeBegin(t *testing.T) {
	gripleaf, folder := program(t), t.TempDir()
	for _, line := range strings.Split(blocks(t, "sh")[2], "\n") {
		arguments := strings.Fields(line)
		switch {
		case len(arguments) == 0 || arguments[0] == "go":
		case arguments[0] == "cd":
			folder = filepath.Join(folder, arguments[1])
		case arguments[1] == "preview":
			serve(t, gripleaf, folder)
		default:
			cmd := exec.Command(gripleaf, arguments[1:]...)
			cmd.Dir = folder
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("%s: %v\n%s", line, err, out)
			}
		}
	}
	own, err := os.ReadFile(filepath.Join(folder, "calculators", "glance", "glance.go"))
	if err != nil {
		t.Fatal(err)
	}
	if shown := blocks(t, "go"); len(shown) != 1 || strings.TrimSpace(shown[0]) != strings.TrimSpace(string(own)) {
		t.Error("README's calculator is not the one that begin writes")
	}
}

// TestReadmeCommands runs what README has in its other blocks, in a new site: each line works as it stands there.
func TestReadmeCommands(t *testing.T) {
	gripleaf, folder := program(t), filepath.Join(t.TempDir(), "course")
	for _, lines := range append([]string{"gripleaf begin " + folder}, blocks(t, "sh")[3:]...) {
		cmd := exec.Command("sh", "-ec", lines)
		cmd.Env = append(os.Environ(), "PATH="+filepath.Dir(gripleaf)+string(os.PathListSeparator)+os.Getenv("PATH"))
		if _, err := os.Stat(folder); err == nil {
			cmd.Dir = folder
		}
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v\n%s%s", err, lines, out)
		}
	}
}

// TestReadmeNamesEveryKey keeps README's table and the keys that site.yaml may have together: a key that is not known is
// a fault whose hint lists those that are.
func TestReadmeNamesEveryKey(t *testing.T) {
	in(t, map[string]string{"site.yaml": "xyzzyxyzzy: 1\ntitle: T\nlanguages: [en]\nlessons: []\n", "en/.keep": ""})
	_, said, code := try(&buildCommand{building: building{Site: "."}})
	_, list, ok := strings.Cut(said, "use one of ")
	if code != faulty || !ok {
		t.Fatalf("exit code %d: %s", code, said)
	}
	list, _, _ = strings.Cut(list, "\n")
	for name := range strings.SplitSeq(list, ", ") {
		if !strings.Contains(readme(t), "| `"+name+"` | ") {
			t.Errorf("README's table of site.yaml has no %s", name)
		}
	}
}

// TestReadmeNamesEveryCommand keeps README's table and the commands together.
func TestReadmeNamesEveryCommand(t *testing.T) {
	text := readme(t)
	for i := range reflect.TypeFor[commands]().NumField() {
		field := reflect.TypeFor[commands]().Field(i)
		name := strings.ToLower(field.Name)
		if _, isCommand := field.Tag.Lookup("cmd"); isCommand && !strings.Contains(text, "| `gripleaf "+name) {
			t.Errorf("README's table has no %s", name)
		}
	}
}

// TestTidy keeps the whole tree formatted and vetted, so that the tests' command is all that anybody has to run.
func TestTidy(t *testing.T) {
	for _, command := range [][]string{{"gofmt", "-l", "calculators", "cmd", "theme", "testdata"}, {"go", "vet", "./..."}} {
		cmd := exec.Command(command[0], command[1:]...)
		cmd.Dir = "../.."
		if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 && command[0] == "gofmt" {
			t.Errorf("%q: %v\n%s", command, err, out)
		}
	}
}

// TestLicences asks that all that is linked may be.
func TestLicences(t *testing.T) {
	cmd := exec.Command("go", "run", "./testdata/licences")
	cmd.Dir = "../.."
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

// TestThemeFilesSayWhatTheyAreFor keeps the list of `gripleaf theme` whole, and README's table of what is changed most.
func TestThemeFilesSayWhatTheyAreFor(t *testing.T) {
	text := readme(t)
	err := fs.WalkDir(theme.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		source, err := theme.Files.ReadFile(name)
		if purpose(name, source) == "" {
			t.Errorf("%s does not begin with a comment that says what it is for", name)
		}
		if folder := strings.Split(name, "/")[0]; (folder == "style" || folder == "templates") && !strings.Contains(text, "| `"+name+"` | ") {
			t.Errorf("README's table of the theme has no %s", name)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}
