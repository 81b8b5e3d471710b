using System.Collections.Concurrent;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Logging.Console;
using Microsoft.Extensions.Options;

namespace KilnShare.Api.Tests.Common;

/// <summary>What the console would show: the service's own formatter, into a list.</summary>
internal sealed class ConsoleLines(IServiceProvider services, ConcurrentQueue<string> lines) : ILoggerProvider, ISupportExternalScope
{
    private IExternalScopeProvider? scopes;

    public ILogger CreateLogger(string categoryName) => new Logger(categoryName, this);

    public void SetScopeProvider(IExternalScopeProvider scopeProvider) => scopes = scopeProvider;

    public void Dispose()
    {
    }

    private sealed class Logger(string category, ConsoleLines to) : ILogger
    {
        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
            to.Write(new LogEntry<TState>(logLevel, category, eventId, state, exception, formatter));
    }

    private void Write<TState>(LogEntry<TState> entry)
    {
        var json = services.GetServices<ConsoleFormatter>()
            .Single(f => f.Name == services.GetRequiredService<IOptions<ConsoleLoggerOptions>>().Value.FormatterName);
        using var text = new StringWriter();
        json.Write(entry, scopes, text);
        lines.Enqueue(text.ToString());
    }
}
