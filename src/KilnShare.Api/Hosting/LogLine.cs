using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Logging.Console;

namespace KilnShare.Api.Hosting;

/// <summary>The platform's line of JSON, without what it says of the path: that is as the client wrote it.</summary>
public sealed class LogLine(IServiceProvider services) : ConsoleFormatter(FormatterName)
{
    /// <summary>By which the console knows it.</summary>
    public const string FormatterName = "kilnshare";

    private readonly Lazy<ConsoleFormatter> json = new(
        () => services.GetServices<ConsoleFormatter>().Single(f => string.Equals(f.Name, ConsoleFormatterNames.Json, StringComparison.Ordinal)));

    /// <inheritdoc/>
    public override void Write<TState>(in LogEntry<TState> logEntry, IExternalScopeProvider? scopeProvider, TextWriter textWriter) =>
        json.Value.Write(logEntry, scopeProvider is null ? null : new WithoutPath(scopeProvider), textWriter);

    private sealed class WithoutPath(IExternalScopeProvider all) : IExternalScopeProvider
    {
        public void ForEachScope<TState>(Action<object?, TState> callback, TState state) => all.ForEachScope(
            (scope, to) =>
            {
                if (scope is not IEnumerable<KeyValuePair<string, object?>> values || values.All(v => v.Key != "RequestPath")) to.callback(scope, to.state);
            },
            (callback, state));

        public IDisposable Push(object? state) => all.Push(state);
    }
}
