using System.Buffers;
using System.IO.Pipelines;
using Microsoft.AspNetCore.Http.Features;

namespace KilnShare.Api.Common;

/// <summary>
/// The body of an answer while it is made. Nothing of it leaves before it is whole, so that what was begun can be taken back: the server's own body
/// keeps bytes that were written and not yet sent, and another answer would come behind them.
/// </summary>
internal sealed class AnswerBuffer : Stream, IHttpResponseBodyFeature
{
    private const int FirstBytes = 4096;

    private readonly Pen pen;
    private byte[] bytes = ArrayPool<byte>.Shared.Rent(FirstBytes);
    private int length;

    /// <summary>An empty one.</summary>
    /// <param name="connection">Tells when the caller leaves; time limits are not its business.</param>
    public AnswerBuffer(CancellationToken connection)
    {
        pen = new Pen(this);
        Connection = connection;
    }

    /// <summary>Tells when the caller leaves, and nothing else.</summary>
    public CancellationToken Connection { get; }

    /// <summary>What was written so far.</summary>
    public ReadOnlyMemory<byte> Written => bytes.AsMemory(0, length);

    /// <inheritdoc/>
    Stream IHttpResponseBodyFeature.Stream => this;

    /// <inheritdoc/>
    PipeWriter IHttpResponseBodyFeature.Writer => pen;

    /// <inheritdoc/>
    public override bool CanRead => false;

    /// <inheritdoc/>
    public override bool CanSeek => true; // by which the framework knows that it can be emptied

    /// <inheritdoc/>
    public override bool CanWrite => true;

    /// <inheritdoc/>
    public override long Length => length;

    /// <inheritdoc/>
    public override long Position { get => length; set => throw new NotSupportedException(); }

    /// <inheritdoc/>
    public override void Write(ReadOnlySpan<byte> buffer)
    {
        buffer.CopyTo(Room(buffer.Length).Span);
        length += buffer.Length;
    }

    /// <inheritdoc/>
    public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

    /// <inheritdoc/>
    public override ValueTask WriteAsync(ReadOnlyMemory<byte> buffer, CancellationToken cancellationToken = default)
    {
        cancellationToken.ThrowIfCancellationRequested();
        Write(buffer.Span);
        return ValueTask.CompletedTask;
    }

    /// <inheritdoc/>
    public override Task WriteAsync(byte[] buffer, int offset, int count, CancellationToken cancellationToken) =>
        WriteAsync(buffer.AsMemory(offset, count), cancellationToken).AsTask();

    /// <inheritdoc/>
    public override void SetLength(long value) => length = checked((int)Math.Min(value, length));

    /// <inheritdoc/>
    public override void Flush()
    {
    }

    /// <inheritdoc/>
    public override Task FlushAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    /// <inheritdoc/>
    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    /// <inheritdoc/>
    public void DisableBuffering()
    {
    }

    /// <inheritdoc/>
    public Task StartAsync(CancellationToken cancellationToken = default) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task CompleteAsync() => Task.CompletedTask;

    /// <inheritdoc/>
    public Task SendFileAsync(string path, long offset, long? count, CancellationToken cancellationToken = default) =>
        SendFileFallback.SendFileAsync(this, path, offset, count, cancellationToken);

    /// <inheritdoc/>
    protected override void Dispose(bool disposing)
    {
        ArrayPool<byte>.Shared.Return(bytes);
        (bytes, length) = ([], 0);
        base.Dispose(disposing);
    }

    private Memory<byte> Room(int least)
    {
        if (bytes.Length - length < Math.Max(1, least))
        {
            var larger = ArrayPool<byte>.Shared.Rent(Math.Max(bytes.Length * 2, length + least));
            Written.CopyTo(larger);
            ArrayPool<byte>.Shared.Return(bytes);
            bytes = larger;
        }

        return bytes.AsMemory(length);
    }

    /// <summary>Writes into the buffer as into a pipe that nobody reads yet.</summary>
    private sealed class Pen(AnswerBuffer into) : PipeWriter
    {
        public override bool CanGetUnflushedBytes => true;

        public override long UnflushedBytes => 0;

        public override Memory<byte> GetMemory(int sizeHint = 0) => into.Room(sizeHint);

        public override Span<byte> GetSpan(int sizeHint = 0) => into.Room(sizeHint).Span;

        public override void Advance(int bytes) => into.length += bytes;

        public override ValueTask<FlushResult> FlushAsync(CancellationToken cancellationToken = default)
        {
            cancellationToken.ThrowIfCancellationRequested();
            return ValueTask.FromResult(default(FlushResult));
        }

        public override void CancelPendingFlush()
        {
        }

        public override void Complete(Exception? exception = null)
        {
        }
    }
}
