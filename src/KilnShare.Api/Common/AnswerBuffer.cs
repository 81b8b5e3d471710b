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
    private const int LeastSegmentBytes = 4096;
    private static readonly PipeOptions Unbounded = new(minimumSegmentSize: LeastSegmentBytes, pauseWriterThreshold: 0, useSynchronizationContext: false);

    private readonly Pipe pipe = new(Unbounded);
    private readonly Counted writer;

    /// <summary>An empty one.</summary>
    /// <param name="connection">Tells when the caller leaves; time limits are not its business.</param>
    public AnswerBuffer(CancellationToken connection)
    {
        writer = new Counted(pipe.Writer);
        Connection = connection;
    }

    /// <summary>Tells when the caller leaves, and nothing else.</summary>
    public CancellationToken Connection { get; }

    /// <inheritdoc/>
    Stream IHttpResponseBodyFeature.Stream => this;

    /// <inheritdoc/>
    public PipeWriter Writer => writer;

    /// <inheritdoc/>
    public override bool CanRead => false;

    /// <inheritdoc/>
    public override bool CanSeek => true; // by which the framework knows that it can be emptied

    /// <inheritdoc/>
    public override bool CanWrite => true;

    /// <inheritdoc/>
    public override long Length => writer.Bytes;

    /// <inheritdoc/>
    public override long Position { get => Length; set => throw new NotSupportedException(); }

    /// <summary>What was written so far, in the pieces in which it lies: it is read where it is, however long it grew.</summary>
    public async ValueTask<ReadOnlySequence<byte>> Written()
    {
        await pipe.Writer.FlushAsync(CancellationToken.None);
        if (!pipe.Reader.TryRead(out var read)) return ReadOnlySequence<byte>.Empty;
        pipe.Reader.AdvanceTo(read.Buffer.Start);
        return read.Buffer;
    }

    /// <inheritdoc/>
    public override void Write(ReadOnlySpan<byte> buffer) => writer.Write(buffer);

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

    /// <summary>Takes back all that was written.</summary>
    /// <param name="value">0.</param>
    /// <exception cref="NotSupportedException">Another length is wanted.</exception>
    public override void SetLength(long value)
    {
        if (value != 0) throw new NotSupportedException();
        pipe.Writer.Complete();
        pipe.Reader.Complete();
        pipe.Reset();
        writer.Bytes = 0;
    }

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
        pipe.Writer.Complete();
        pipe.Reader.Complete(); // gives its memory back
        base.Dispose(disposing);
    }

    /// <summary>The pipe's writer; it knows how much was written, and is not completed by who writes.</summary>
    private sealed class Counted(PipeWriter into) : PipeWriter
    {
        public long Bytes { get; set; }

        public override bool CanGetUnflushedBytes => true;

        public override long UnflushedBytes => into.UnflushedBytes;

        public override Memory<byte> GetMemory(int sizeHint = 0) => into.GetMemory(sizeHint);

        public override Span<byte> GetSpan(int sizeHint = 0) => into.GetSpan(sizeHint);

        public override void Advance(int bytes)
        {
            into.Advance(bytes);
            Bytes += bytes;
        }

        public override ValueTask<FlushResult> FlushAsync(CancellationToken cancellationToken = default) => into.FlushAsync(cancellationToken);

        public override void CancelPendingFlush() => into.CancelPendingFlush();

        public override void Complete(Exception? exception = null)
        {
        }
    }
}
