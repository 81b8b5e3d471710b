using System.Collections.Concurrent;
using Microsoft.Extensions.Logging;

namespace KilnShare.Api.Tests.Common;

/// <summary>Keeps what the service logged as an error, so that a failed test can show it.</summary>
public sealed class ErrorLog : ILoggerProvider
{
    private static readonly ConcurrentQueue<string> Lines = new();

    /// <summary>The last errors of this run.</summary>
    public static string Last => string.Join("\n", Lines.TakeLast(2));

    /// <summary>The last that were answered with 500.</summary>
    public static string Unexpected => string.Join("\n", Lines.Where(l => l.StartsWith("Unexpected failure", StringComparison.Ordinal)).TakeLast(2));

    public ILogger CreateLogger(string categoryName) => new Logger();

    public void Dispose()
    {
    }

    private sealed class Logger : ILogger
    {
        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => logLevel >= LogLevel.Error;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter)
        {
            if (IsEnabled(logLevel)) Lines.Enqueue($"{formatter(state, exception)} {exception}");
        }
    }
}
