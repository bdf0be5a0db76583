/**
 * PowerShell that asks Windows not to sleep (ES_CONTINUOUS | ES_SYSTEM_REQUIRED of SetThreadExecutionState) and then
 * echoes its stdin until that closes; the request ends with the process.
 */
export const askWindows = [
  `$k = Add-Type -Name Power -Namespace Darkset -PassThru -MemberDefinition '[DllImport("kernel32.dll")] public static extern uint SetThreadExecutionState(uint flags);'`,
  'if ($k::SetThreadExecutionState([uint32]2147483649) -eq 0) { exit 1 }',
  'while ($null -ne ($line = [Console]::In.ReadLine())) { [Console]::Out.WriteLine($line) }',
].join('; ');
