// The extension for Visual Studio Code: it is packaged by the editor's own packager, all that its manifest names is in the
// package, the languages and colours fit each other, and what it starts is the language server.
// usage: vsix.mjs FOLDER-WITH-NODE-MODULES
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

const modules = resolve(process.argv[2]);
const folder = mkdtempSync(join(tmpdir(), 'vsix-'));
try {
  const source = join(folder, 'source');
  cpSync('grammar/vscode', source, { recursive: true });
  const quiet = { cwd: source, stdio: ['ignore', 'pipe', 'pipe'], encoding: 'utf8' };
  execFileSync('npm', ['install', '--ignore-scripts', '--no-audit', '--no-fund', '--silent'], quiet);
  const packager = join(modules, 'node_modules/@vscode/vsce/vsce');
  const args = ['package', '--allow-missing-repository', '--skip-license', '--out', join(folder, 'plan.vsix')];
  execFileSync(process.execPath, [packager, ...args], quiet);
  execFileSync('python3', ['-m', 'zipfile', '-e', join(folder, 'plan.vsix'), join(folder, 'out')]);
  const inside = (path) => join(folder, 'out/extension', path);
  const text = (path) => readFileSync(inside(path), 'utf8');

  const manifest = JSON.parse(text('package.json'));
  const { languages, grammars, configuration } = manifest.contributes;
  const named = [manifest.main, ...languages.map((one) => one.configuration), ...grammars.map((one) => one.path)];
  for (const path of named) assert.ok(existsSync(inside(path)), `${path} is not in the package`);
  for (const path of Object.keys(manifest.dependencies)) assert.ok(existsSync(inside(`node_modules/${path}/package.json`)), path);
  assert.deepEqual(Object.keys(manifest.contributes).sort(), ['configuration', 'grammars', 'languages']);
  assert.deepEqual(languages.map((one) => one.extensions), [['.haccp']]);
  for (const one of grammars) {
    assert.ok(languages.some((language) => language.id === one.language), `no language ${one.language}`);
    assert.equal(JSON.parse(text(one.path)).scopeName, one.scopeName);
  }
  const settings = JSON.parse(text(languages[0].configuration));
  assert.equal(settings.comments.lineComment, '#');
  assert.ok(settings.brackets.some(([open, close]) => open === '{' && close === '}'));

  // What it does when the editor starts it, with stand-ins for the editor and for the client.
  for (const [set, command] of [[undefined, 'bourn'], ['/opt/bourn', '/opt/bourn']]) {
    const seen = [];
    const standIns = {
      vscode: {
        workspace: {
          getConfiguration: (section) => ({ get: (name) => (seen.push(`${section}.${name}`), set) }),
          createFileSystemWatcher: (pattern) => pattern,
        },
      },
      'vscode-languageclient/node': {
        LanguageClient: class {
          constructor(...given) { seen.push(given); }
          async start() { seen.push('start'); }
          async stop() { seen.push('stop'); }
        },
      },
    };
    const own = { exports: {} };
    const need = (name) => standIns[name] ?? createRequire(inside('x'))(name);
    new Function('require', 'exports', 'module', text(manifest.main))(need, own.exports, own);
    await own.exports.activate();
    await own.exports.deactivate();
    const [setting, [id, , server, options], start, stop] = seen;
    assert.ok(setting in configuration.properties, `${setting} is no setting of the manifest`);
    assert.deepEqual([id, server, start, stop], ['bourn', { command, args: ['lsp'] }, 'start', 'stop']);
    assert.deepEqual(options.documentSelector.map((one) => one.language), languages.map((one) => one.id));
    for (const ending of ['haccp', 'sign-off', 'allowed-signers']) assert.ok(options.synchronize.fileEvents.includes(ending));
  }
  // The client that is packaged exists under the name by which it is asked for.
  const client = JSON.parse(text('node_modules/vscode-languageclient/package.json'));
  assert.ok(existsSync(inside('node_modules/vscode-languageclient/node.js')) || './node' in (client.exports ?? {}));
  // A file that the manifest names and that is not there makes the packager refuse.
  rmSync(join(source, manifest.main));
  assert.throws(() => execFileSync(process.execPath, [packager, ...args], quiet), /extension\.js/);
  console.log(`vsix: ${named.length} files of the manifest in the package of ${manifest.name} ${manifest.version}`);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
