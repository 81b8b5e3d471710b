using System.Buffers;
using System.IO.Pipelines;
using System.Text.Json;
using System.Text.Unicode;
using Microsoft.AspNetCore.Http.Metadata;
using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>
/// Looks a JSON body over before anything is made of it: UTF-8 without a mark in front, well formed, not too deep, and not so many values
/// that reading them would cost much memory. The body stays where it is, to be read by the handler.
/// </summary>
public sealed class BodyCheck(RequestDelegate next)
{
    /// <summary>Most values in a body: the largest honest one is 2,000 polygons of 64 corners.</summary>
    public const int MostValues = 500_000;

    private static readonly byte[] Mark = [0xEF, 0xBB, 0xBF];

    /// <summary>Answers 400 or 415, or passes on.</summary>
    public async Task InvokeAsync(HttpContext context)
    {
        if (context.GetEndpoint() is null || !MediaTypeHeaderValue.TryParse(context.Request.ContentType, out var type) || !IsJson(type))
        {
            await next(context);
            return;
        }

        var isOther = type.MediaType.Value is not ("application/json" or MergePatch.MediaType);
        var answer = isOther || type.Charset.HasValue && !type.Charset.Equals("utf-8", StringComparison.OrdinalIgnoreCase)
            ? EdgeExceptions.OfStatus(StatusCodes.Status415UnsupportedMediaType)
            : await Read(context.Request.BodyReader, TakesBody(context), context.RequestAborted);
        await (answer is null ? next(context) : answer.ExecuteAsync(context));
    }

    /// <summary>Anything that the framework would read as JSON.</summary>
    private static bool IsJson(MediaTypeHeaderValue type) => type.SubTypeWithoutSuffix == "json" || type.Suffix == "json";

    /// <summary>False for a GET that names a type all the same, as clients do that name it always.</summary>
    private static bool TakesBody(HttpContext context) => context.GetEndpoint()!.Metadata.GetMetadata<IAcceptsMetadata>() is { IsOptional: false };

    private static async Task<IResult?> Read(PipeReader reader, bool takesBody, CancellationToken cancellation)
    {
        while (true)
        {
            var read = await reader.ReadAsync(cancellation);
            if (read.IsCompleted)
            {
                var answer = Check(read.Buffer, takesBody);
                reader.AdvanceTo(read.Buffer.Start);
                return answer;
            }

            reader.AdvanceTo(read.Buffer.Start, read.Buffer.End);
        }
    }

    private static IResult? Check(ReadOnlySequence<byte> body, bool takesBody)
    {
        if (body.IsEmpty) return takesBody ? Malformed("There is no body. Send the JSON that the document of this call describes.") : null;
        if (body.IsSingleSegment) return Check(body.FirstSpan);
        var pooled = ArrayPool<byte>.Shared.Rent((int)body.Length);
        try
        {
            body.CopyTo(pooled);
            return Check(pooled.AsSpan(0, (int)body.Length));
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(pooled);
        }
    }

    private static IResult? Check(ReadOnlySpan<byte> utf8)
    {
        if (utf8.StartsWith(Mark)) return Malformed("The body begins with a byte order mark. Send plain UTF-8 without one.");
        if (!Utf8.IsValid(utf8)) return Malformed("The body is not UTF-8.");
        return Walk(utf8);
    }

    private static IResult? Walk(ReadOnlySpan<byte> utf8)
    {
        var reader = new Utf8JsonReader(utf8, new JsonReaderOptions { MaxDepth = Json.MaxDepth });
        var place = new JsonPlace();
        try
        {
            for (var values = 0; reader.Read();)
            {
                place.Pass(ref reader);
                if (++values > MostValues)
                    return Problems.Answer(
                        400, "request.too-many-values", $"The body holds more than {MostValues} values. Send it in parts.", null, null, null);
                if (reader.TokenType == JsonTokenType.Null && place.IsInList)
                    return Problems.Answer(400, "request.null-in-list", "A list takes no null. Leave the entry out.", place.Pointer, null, null);
            }
        }
        catch (Exception e) when (e is JsonException or InvalidOperationException)
        {
            // The reader throws the latter for a name that is half a character.
            return Malformed(
                reader.CurrentDepth >= Json.MaxDepth ? $"The JSON is nested deeper than {Json.MaxDepth} levels."
                    : "The body is not well-formed JSON (RFC 8259): no comments, no commas at the end, one value.");
        }

        return null;
    }

    private static IResult Malformed(string detail) => Problems.Answer(400, "request.malformed", detail, null, null, null);
}
